"""Ten set-ups of a session at a log, decided: prints the rows of decisions.md that stand under "after".

Run from the root of the repository: .venv/bin/python docs/benchmarks/decisions.py
"""

import tempfile
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, time
from functools import cache
from pathlib import Path

import numpy as np

from hushwalk.filming import story
from hushwalk.filming.day_at_log import DayAtLog
from hushwalk.filming.session_report import LogPlan, SessionReport
from hushwalk.filming.story import SessionRequest, plan_sessions
from hushwalk.notes.ledger import Entry, write_notes
from hushwalk.notes.notes import LogNote
from hushwalk.site.camera_settings import CameraSettings, LensSettings, LogSettings
from hushwalk.site.site import Site, read_site
from hushwalk.site.trip_file import read_trip
from hushwalk.wording.filming_words import day_title, framing_words, light_words, notice_words

TRIP = read_trip(Path("data_demo/trip.toml"))
PLACE = "47.3825, -90.3299"
DAYS = 3


@cache
def site() -> Site:
    """Read the demo's ground once."""
    return read_site(TRIP)


story.read_site = lambda _settings: site()


def log(**more: object) -> LogSettings:
    """Give a log at the demo's place with only these keys."""
    return LogSettings("ALDER", PLACE, **more)  # type: ignore[arg-type]


def sat(camera: CameraSettings, request: SessionRequest | None = None, back_by: time = time(9, 30)) -> SessionReport:
    """Plan with a camera of one's own."""
    trip = replace(TRIP, morning=replace(TRIP.morning, back_by=back_by))
    return plan_sessions(trip, camera, request or SessionRequest(("ALDER",), days=DAYS))


def camera(lenses: tuple[LensSettings, ...], one: LogSettings, **more: object) -> CameraSettings:
    """Give a camera with lenses and one log."""
    return CameraSettings(lens=lenses, log=(one,), iso_max=12_800.0, **more)  # type: ignore[arg-type]


def day_of(plan: LogPlan) -> DayAtLog:
    """Give the best day of a plan."""
    return max(plan.days, key=lambda day: day.score)


def seat(plan: LogPlan) -> str:
    """Say where to sit with which picture."""
    video = plan.seat.video
    return (
        f"{plan.side.name} at {plan.side.distance_m:.1f} m with the {video.lens}: video {video.field_m:.2f} m, "
        f"still {plan.seat.still.field_m:.2f} m, {framing_words(video)}"
    )


LONG = (LensSettings("500 f/5.6", 500.0, 5.6, 3.7),)
FAST = (LensSettings("300 f/2.8", 300.0, 2.8, 2.5),)


def fresh_or_none() -> str:
    """Two logs alike but for their droppings, 280 m apart."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "notes.gpkg"
        at = datetime(2027, 4, 20, 15, tzinfo=UTC)
        signs = {"LOG01": "fresh pile", "LOG02": "none"}
        rows = [
            LogNote(at, (-90.3299, 47.3825 - 0.0025 * k), name, sign) for k, (name, sign) in enumerate(signs.items())
        ]
        write_notes(path, [Entry(row) for row in rows])
        got = sat(CameraSettings(lens=LONG), SessionRequest(("LOG01", "LOG02"), days=DAYS, ledger=path))
    return ", ".join(f"{plan.name} {plan.worth.minutes:.0f} good min" for plan in got.logs)


def sides_in_sun() -> str:
    """ISO of the video from the east and from the west two hours after sunrise."""
    (plan,) = sat(camera(LONG, log(facing_deg=(0.0, 180.0)))).logs
    day = day_of(plan)
    minute = int(day.sky.sunrises[0]) + 150
    east, west = (day.light.from_side(side).middle_lux[minute] for side in (90.0, 270.0))
    return f"west needs {np.log2(east / west):.1f} stops more than east"


def overcast() -> str:
    """Full cloud."""
    (plan,) = sat(camera(LONG, log(), sky="overcast")).logs
    scores = [one.score for seat in plan.seats for one in seat.side.criteria if one.name == "light"]
    return f"{light_words(day_of(plan))}; light scores all sides {min(scores):.2f} to {max(scores):.2f}"


def too_early() -> str:
    """back_by = 05:00."""
    report = sat(camera(LONG, log()), back_by=time(5, 0))
    (plan,) = report.logs
    said = next(words for words in notice_words(report, plan) if "back_by" in words)
    session = day_of(plan).session
    if session is None:
        return "no session"
    return f"out at {session.until:%H:%M}, at the car {session.back_at:%H:%M}, worth {session.score:.2f}; {said}"


def december() -> str:
    """20 December."""
    (plan,) = sat(camera(LONG, log()), SessionRequest(("ALDER",), date(2027, 12, 20), DAYS)).logs
    return day_title(plan)


SETUPS: dict[str, Callable[[], str]] = {
    "1 fresh and none": fresh_or_none,
    "2 room to 30 m, 300 f/2.8": lambda: seat(
        sat(camera((LensSettings("300 f/2.8", 300.0, 2.8, 2.5),), log(facing_deg=(100.0,), hide_m={"NE": 30.0}))).logs[
            0
        ]
    ),
    "3 400 f/5.6 or 500 f/4, room N 16.5 m": lambda: seat(
        sat(
            camera(
                (LensSettings("400 f/5.6", 400.0, 5.6, 3.0), LensSettings("500 f/4", 500.0, 4.0, 3.6)),
                log(hide_m={"N": 16.5}),
            )
        ).logs[0]
    ),
    "4 500 f/5.6, room NE 16 m": lambda: seat(sat(camera(LONG, log(hide_m={"NE": 16.0}))).logs[0]),
    "5 APS-C, video crop 1.5, 300 f/4": lambda: seat(
        sat(camera((LensSettings("300 f/4", 300.0, 4.0, 1.4),), log(), sensor="aps_c", video_crop=1.5)).logs[0]
    ),
    "6 sun on two sides": sides_in_sun,
    "7 full cloud": overcast,
    "8 back by 05:00": too_early,
    "9 20 December": december,
    "10 room E 14 m, backdrop W 0.5 m": lambda: seat(
        sat(camera(LONG, log(hide_m={"E": 14.0}, backdrop_m={"W": 0.5}))).logs[0]
    ),
}


if __name__ == "__main__":
    for name, decide in SETUPS.items():
        print(f"| {name} | {decide()} |", flush=True)
