"""A small search made by hand on the ground of made_report.py: two birds, two areas, two logs. Nothing is planned."""

import importlib.util
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np

from hushwalk.birds import bird_report as f
from hushwalk.birds.fix import FixCaution, FixWarning
from hushwalk.birds.next_bearing import Stand
from hushwalk.birds.search.planned_search import Search, SearchLeg, SearchPass, SearchReport
from hushwalk.birds.search.search_plan import LeftOut, SearchParams, WhyLeftOut
from hushwalk.logs.observations import Observation, Observed

_spec = importlib.util.spec_from_file_location("made_report", Path(__file__).parent / "made_report.py")
made = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(made)
made_report = made.made_report
FRESH = (Observation(Observed.DROPPINGS_FRESH),)


def made_findings(report=None) -> f.Detections:
    report = report or made_report()
    grid, heights = report.grid, report.country.elevation
    x, y = report.car.xy_m
    birds, logs = [], []
    for name, place in (("B1", (x + 240, y + 420)), ("B2", (x - 300, y + 600))):
        grounds = tuple(
            f.SearchGround(s, a, (made.ring(place, r),))
            for s, a, r in ((0.5, 0.8, 50), (0.8, 2.0, 80), (0.95, 4.5, 120))
        )
        lines = tuple(np.array([start, place]) for start in ((x, y), (x + 330, y + 260)))
        spot = made.made_spot(grid, heights, name, place)
        stand = f.NextStand(
            made.made_spot(grid, heights, f"{name} next", (place[0] + 150, place[1])),
            270.0,
            271.0,
            Stand((place[0] + 150, place[1]), 540.0, 1e4, 2e4, 0.7, 269.0, 60.0, 150.0),
        )
        birds.append(
            f.LocatedBird(name, spot, grounds, lines, None, (FixWarning(FixCaution.ACUTE, 40.0),), spot, stand)
        )
    for name, role, place in (
        ("LOG03", f.LogRole.MAIN, (x - 290, y + 610)),
        ("LOG04", f.LogRole.LESSER, (x - 250, y + 590)),
    ):
        spot = made.made_spot(grid, heights, name, place)
        logs.append(
            f.ScoredLog(
                name, spot, 1, role, 0.8, 0.6, 0.7, 45.0, (place[0] + 10, place[1] + 10), date(2027, 4, 23), FRESH
            )
        )
    return f.Detections(report.depart.date(), tuple(birds), tuple(logs))


def made_search(title: str = "North Spur, Tamar Hollow") -> SearchReport:
    report = made_report(title=title)
    detections = made_findings(report)
    now = datetime(2027, 4, 24, 10, 0, tzinfo=made.ZONE)
    here, legs = report.car.xy_m, []
    for number, bird in enumerate(detections.birds, start=1):
        x, y = bird.middle.xy_m
        path = np.array(
            [(x - 60, y - 40), (x + 60, y - 40), (x + 60, y - 20), (x - 60, y - 20), (x - 60, y), (x + 60, y)]
        )
        arrive = now + timedelta(minutes=12)
        leave = arrive + timedelta(minutes=30)
        entry = made.made_spot(report.grid, report.country.elevation, f"S{number}", tuple(path[0]))
        legs.append(
            SearchLeg(
                number,
                bird.name,
                entry,
                arrive,
                leave,
                0.6,
                0.65,
                made.made_line(here, tuple(path[0])),
                (
                    SearchPass(path, 3, 92.0, 0.6, bird.grounds[0].rings),
                    SearchPass(np.array([path[-1], (x + 60, y + 12), (x + 48, y - 40)]), 1, 182.0, 0.1, ()),
                ),
                20.0,
                21.0,
                400.0,
                12.0,
            )
        )
        here, now = tuple(path[-1]), leave
    search = Search(
        report.car,
        legs[0].arrive - timedelta(minutes=12),
        now + timedelta(minutes=15),
        now + timedelta(minutes=60),
        tuple(legs),
        made.made_line(here, report.car.xy_m),
        1.2,
        SearchParams(),
        (LeftOut("B7", WhyLeftOut.NO_TIME),),
    )
    return SearchReport(
        report.title,
        report.grid,
        report.car,
        report.north,
        report.country,
        report.species,
        report.depart.date(),
        search,
        detections,
        report.cautions,
        report.notices,
    )
