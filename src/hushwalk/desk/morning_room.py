"""Shape the morning: the ground, the changes that a person makes to the walk, and what they gain or cost.

How a change is written is trip_edits.py's, how the history is kept desk_state.py's.
"""

from typing import Any

from starlette.routing import Route

from hushwalk.desk.answering import answering
from hushwalk.desk.desk_state import Desk
from hushwalk.errors import SettingsError
from hushwalk.wording.desk_words import cost_words, late_words


async def _ground(desk: Desk, _: dict[str, Any]) -> dict[str, Any]:
    """The ground of the trip that stands, and what is wished on it."""
    version = desk.version
    if version is None:
        return {"ground": None}
    ground: dict[str, Any] = await desk.shaping.ask("ground", version.trip, str(desk.path))
    return {"ground": ground, "version": version.number}


async def _change(desk: Desk, said: dict[str, Any]) -> dict[str, Any]:
    """Make one change to the trip file."""
    await desk.edit(str(said["kind"]), said)
    return desk.news()


async def _shape(desk: Desk, said: dict[str, Any]) -> dict[str, Any]:
    """Evaluate the walk as it is being shaped, and say what that gains or costs against the plan."""
    version = desk.version
    if version is None:
        raise SettingsError("there is no trip here yet; choose the country first")
    walk: dict[str, Any] = await desk.shaping.ask("shape", version.trip, str(desk.path), said)
    cost = cost_words(desk.plan, walk)
    late = late_words(walk["late_minutes"], walk["taken_minutes"])
    return {**walk, "cost": f"{cost}; {late}" if cost and late else cost or late}


async def _stop(desk: Desk, _: dict[str, Any]) -> dict[str, Any]:
    """Stop planning."""
    await desk.stop()
    return desk.news()


async def _plan(desk: Desk, _: dict[str, Any]) -> dict[str, Any]:
    """Plan again after a stop."""
    desk.replan()
    return desk.news()


ROUTES = [
    Route("/api/ground", answering(_ground), methods=["POST"]),
    Route("/api/change", answering(_change), methods=["POST"]),
    Route("/api/shape", answering(_shape), methods=["POST"]),
    Route("/api/stop", answering(_stop), methods=["POST"]),
    Route("/api/plan", answering(_plan), methods=["POST"]),
]
