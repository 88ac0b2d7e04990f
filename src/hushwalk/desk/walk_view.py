"""A planned or a shaped walk as the desk's page reads it: stops, legs, times and words, places in degrees.

The ground below it is ground_view.py's; the words are wording's.
"""

from datetime import datetime, timedelta
from typing import Any

from hushwalk.grid.points import parse_place
from hushwalk.grid.polyline import polyline_length, rings_area
from hushwalk.morning.look_round import Morning
from hushwalk.morning.report import Report, Stop
from hushwalk.morning.shaped_walk import ShapedWalk, WalkShape
from hushwalk.outputs.kit.page_layers import arrows, as_features
from hushwalk.outputs.kit.pictures import on_page
from hushwalk.site.settings import TripSettings
from hushwalk.wording.desk_words import headline_words
from hushwalk.wording.formats import clock, sentence
from hushwalk.wording.measures import unit, written_in
from hushwalk.wording.morning_words import proof_words
from hushwalk.wording.stop_words import stop_lines
from hushwalk.wording.wish_words import wish_sentences


def plan_view(report: Report) -> dict[str, Any]:
    """Give a planned morning as the page reads it."""
    effect = report.wish_effect
    locked = {stop: number for number, (_, stop) in enumerate(effect.must)} if effect else {}
    working = None if report.closing is None else report.closing.working
    stops = [_stop(report, stop, locked.get(stop.place.name)) for stop in report.stops]
    males = report.males
    return {
        "headline": headline_words(report.depart, report.back, males.expected, len(stops), report.length_m),
        "males": males.expected,
        "range": [males.low, males.high],
        "minutes": (report.back - report.depart).total_seconds() / 60,
        "stops": stops,
        "first_begin": _begins(report.stops[0]).isoformat() if report.stops else None,
        "kept_free_s": 0.0 if working is None else working.kept_free_s,
        "lines": [on_page(report.grid, leg.line_m)[:, ::-1].tolist() for leg in report.legs],
        "arrows": arrows(report, [leg.line_m for leg in report.legs]),
        "earshot": as_features(report, [rings_area(stop.earshot) for stop in report.stops if stop.earshot]),
        "words": [sentence(proof_words(report.proof)), *wish_sentences(effect)],
        "late_minutes": 0.0,
        "whole": True,
    }


def _begins(stop: Stop) -> datetime:
    return stop.arrive + timedelta(minutes=stop.wait_minutes)


def _stop(report: Report, stop: Stop, must: int | None) -> dict[str, Any]:
    return {
        "number": stop.number,
        "name": stop.place.name,
        "at": [stop.place.lat_deg, stop.place.lon_deg],
        "arrive": clock(stop.arrive),
        "leave": clock(stop.leave),
        "latest_leave": clock(stop.latest_leave),
        "minutes": (stop.leave - _begins(stop)).total_seconds() / 60 - stop.until_light_minutes,
        "wait": stop.wait_minutes,
        "males": stop.males_expected,
        "must": must,
        "rows": stop_lines(report, stop),
    }


def shape_said(said: dict[str, Any], morning: Morning) -> WalkShape:
    """Read a walk that the page shapes.

    Raises
    ------
    KeyError, TypeError, ValueError
        If it is none.
    """
    stops = said["stops"]
    begin = datetime.fromisoformat(str(said["first_begin"])) if said.get("first_begin") else None
    return WalkShape(
        tuple((float(stop["at"][1]), float(stop["at"][0])) for stop in stops),
        tuple(float(stop["minutes"]) for stop in stops),
        tuple(float(stop["wait"]) for stop in stops),
        morning.clock.earliest_s if begin is None else morning.clock.seconds(begin),
        float(said["kept_free_s"]),
    )


def shaped_view(morning: Morning, walk: ShapedWalk, musts: list[int | None]) -> dict[str, Any]:
    """Give a shaped walk as the page reads it.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    walk : that was evaluated.
    musts : for each stop its number among the locked ones; None where it is not locked.

    Returns
    -------
    dict
        The keys of :func:`plan_view`, without earshot.
    """
    plan, at, grid = walk.plan, morning.clock.at, morning.site.grid
    places = [on_page(grid, line[-1]).tolist() for line in walk.lines_m[:-1]]
    stops = [
        {
            "number": k,
            "name": f"P{k:02d}",
            "at": place[::-1],
            "arrive": clock(at(visit.arrive_s)),
            "leave": clock(at(visit.leave_s)),
            "latest_leave": clock(at(latest_s)),
            "minutes": visit.dwell_s / 60,
            "wait": visit.wait_s / 60,
            "males": gain,
            "must": must,
            "rows": [],
        }
        for k, (visit, place, latest_s, gain, must) in enumerate(
            zip(plan.visits, places, walk.latest_leave_s, walk.gains, musts, strict=True), start=1
        )
    ]
    length_m = sum(map(polyline_length, walk.lines_m))
    return {
        "headline": headline_words(at(plan.depart_s), at(plan.back_s), walk.males, len(stops), length_m),
        "males": walk.males,
        "range": None,
        "minutes": plan.duration_s / 60,
        "stops": stops,
        "first_begin": at(plan.visits[0].begin_s).isoformat() if plan.visits else None,
        "kept_free_s": morning.kept_free_s,
        "lines": [on_page(grid, line)[:, ::-1].tolist() for line in walk.lines_m],
        "arrows": [],
        "earshot": None,
        "words": [],
        "late_minutes": walk.late_s / 60,
        "taken_minutes": walk.taken_s / 60,
        "whole": False,
    }


def trip_view(settings: TripSettings) -> dict[str, Any]:
    """Give what a person decided, as the page shows and changes it."""
    wishes, morning = settings.wishes, settings.morning
    with written_in(settings.reader_units):
        wind, step = unit("wind"), unit("short")
    return {
        "title": settings.place.name,
        "car": _at(settings.place.car),
        "must": [_at(said) for said in wishes.must],
        "must_not": [_at(said) for said in wishes.must_not],
        "not_across": [[_at(said) for said in line] for line in wishes.not_across],
        "closed": [{"name": one.name, "corners": [[lat, lon] for lon, lat in one.corners]} for one in settings.closed],
        "date": morning.date.isoformat(),
        "leave_not_before": f"{morning.leave_not_before:%H:%M}" if morning.leave_not_before else "",
        "back_by": f"{morning.back_by:%H:%M}",
        "reserve": settings.walker.reserve,
        "wind_at_ear_ms": settings.weather.wind_at_ear_ms,
        "units": {"read": settings.reader_units, "wind": wind, "step": step},
    }


def _at(said: str) -> list[float]:
    lon, lat = parse_place(said)
    return [lat, lon]
