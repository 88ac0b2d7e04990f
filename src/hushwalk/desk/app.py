"""The desk as a web application: the page, what all rooms share, and the routes of each room.

Who may ask is guard.py's business; what stands on the page is page.py's.
"""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Any

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from hushwalk.desk import country_room, morning_room, notes_room, take_room
from hushwalk.desk.answering import answering
from hushwalk.desk.desk_state import Desk
from hushwalk.desk.guard import Guard, Keys
from hushwalk.desk.page import desk_page
from hushwalk.text import one_line

LONGEST_WAIT_S = 20.0  # judgement: shorter than any proxy or browser gives up
ROOMS = (country_room, morning_room, notes_room, take_room)
"""Each holds ``ROUTES``, what it answers below ``/api/``."""


def desk_app(desk: Desk, keys: Keys, hosts: tuple[str, ...]) -> ASGIApp:
    """Give the guarded application of a desk.

    Parameters
    ----------
    desk : the folder and its plan.
    keys : that a browser must show.
    hosts : names and ports under which it is reached.

    Returns
    -------
    ASGIApp
    """

    @asynccontextmanager
    async def running(_: Starlette) -> AsyncIterator[None]:
        await desk.start()
        yield
        await desk.close()

    routes = [
        Route("/", _page),
        Route("/api/news", _news),
        Route("/api/undo", answering(_undo), methods=["POST"]),
        Route("/api/redo", answering(_redo), methods=["POST"]),
        Route("/api/go", answering(_go), methods=["POST"]),
        Route("/api/history", answering(_history), methods=["POST"]),
        Route("/api/name", answering(_name), methods=["POST"]),
        Route("/api/kept", answering(_kept), methods=["POST"]),
        *(route for room in ROOMS for route in room.ROUTES),
    ]
    app = Starlette(routes=routes, lifespan=running)
    app.state.desk, app.state.keys = desk, keys
    return Guard(app, keys, hosts, desk_page(keys.page_key).policy)


async def _page(request: Request) -> Response:
    made = desk_page(request.app.state.keys.page_key)
    return HTMLResponse(made.html)


async def _news(request: Request) -> Response:
    desk: Desk = request.app.state.desk
    after = request.query_params.get("after", "")
    known = int(after) if after.lstrip("-").isdigit() else -1
    return JSONResponse(await desk.wait_for_news(known, LONGEST_WAIT_S))


async def _undo(desk: Desk, _: dict[str, Any]) -> dict[str, Any]:
    version = desk.version
    await desk.go(None if version is None else version.parent)
    return desk.news()


async def _redo(desk: Desk, _: dict[str, Any]) -> dict[str, Any]:
    version = desk.version
    await desk.go(None if version is None else version.last_child)
    return desk.news()


async def _go(desk: Desk, said: dict[str, Any]) -> dict[str, Any]:
    await desk.go(int(said["version"]))
    return desk.news()


async def _history(desk: Desk, _: dict[str, Any]) -> dict[str, Any]:
    """All versions, without their texts."""
    found = [
        {"number": v.number, "parent": v.parent, "made_at": v.made_at, "change": v.change, "name": v.name}
        | {"planned": v.planned, "now": v == desk.version}
        for v in desk.history.versions()
    ]
    return {"versions": found}


async def _name(desk: Desk, said: dict[str, Any]) -> dict[str, Any]:
    desk.history.name(int(said["version"]), one_line(str(said["name"])))
    return await _history(desk, {})


async def _kept(desk: Desk, said: dict[str, Any]) -> dict[str, Any]:
    """The kept plan of a version."""
    number = int(said["version"])
    version = desk.history.version(number)
    return {
        "plan": desk.history.plan(number),
        "trip": None if version is None else version.trip,
    }
