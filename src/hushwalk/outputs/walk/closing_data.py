"""Closing in as data: facts of summary.json with their words.

The rest of the summary is walk_data.py's.
"""

from datetime import datetime
from typing import Any

from hushwalk.morning.closing_in import ClosingIn, FurtherStop, LikelyGround, SideStand, StopClosing, UnheardWalk, WayIn
from hushwalk.notes.figures import figure
from hushwalk.outputs.walk.day_data import compared_fields
from hushwalk.site.place import Place
from hushwalk.wording.closing_words import ground_words, try_words, unheard_sentence, way_words, without_words

Json = dict[str, Any]


def closing_fields(closing: ClosingIn | None) -> Json | None:
    """Give how the morning is worked, the times at each stop, the likely ground, and how to walk on unheard.

    Returns
    -------
    dict or None
        None where closing in is not spoken of: the walk is under way, or shared.
    """
    if closing is None:
        return None
    working, kept_min = closing.working, closing.working.kept_free_s / 60
    return {
        "way": working.way.value,
        "why": working.why.value,
        "kept_free_minutes": round(kept_min, 1),
        "earshot_m": round(working.earshot_m, 1),
        "males_expected_unshortened": round(working.males, 3),
        "words": way_words(working),
        "compared": compared_fields(working.compared),
        "try_minutes": figure("closing_in", "try_min"),
        "long_try_minutes": figure("closing_in", "long_try_min"),
        "stop_at_m": figure("closing_in", "end_m"),
        "due": closing.due.isoformat(),
        "better_before": closing.better_before.isoformat(),
        "stops": [_stop(one, closing.better_before) for one in closing.stops],
        "if_nothing_heard": None if closing.unheard is None else _unheard(closing.unheard, kept_min),
    }


def _stop(one: StopClosing, better_before: datetime) -> Json:
    times = one.times
    return {
        "stop": one.stop,
        "earliest": None if times is None else times.earliest.isoformat(),
        "latest": None if times is None else _iso(times.latest),
        "latest_long": None if times is None else _iso(times.latest_long),
        "walk_on_by": None if times is None else _iso(times.walk_on_by),
        "without": [] if times is None else [{"stop": w.stop, "latest": _iso(w.latest)} for w in times.without],
        "words": try_words(times, better_before),
        "without_words": without_words(times),
        "likely_ground": [_ground(ground) for ground in one.grounds],
    }


def _ground(ground: LikelyGround) -> Json:
    return {
        "towards_deg": round(ground.towards_deg, 1),
        "towards_magnetic_deg": round(ground.towards_magnetic_deg, 1),
        "distance_m": round(ground.distance_m, 1),
        "males_expected": round(ground.males, 3),
        "way_in": None if ground.way_in is None else _way_in(ground.way_in),
        "crossed_from": ground.crossed_from,
        "side_stand": None if ground.side_stand is None else _side_stand(ground.side_stand),
        "words": ground_words(ground),
    }


def _way_in(way: WayIn) -> Json:
    return {
        "side": way.side.value,
        "set_off_deg": round(way.set_off_deg, 1),
        "set_off_magnetic_deg": round(way.set_off_magnetic_deg, 1),
        "length_m": round(way.length_m, 1),
        "minutes": round(way.minutes, 1),
        "fords": way.fords,
        "end": _place(way.end),
        "face_magnetic_deg": round(way.face_magnetic_deg, 1),
        "crossing_deg": round(way.crossing_deg, 1),
    }


def _side_stand(stand: SideStand) -> Json:
    return {
        "go_magnetic_deg": round(stand.go_magnetic_deg, 1),
        "length_m": round(stand.length_m, 1),
        "minutes": round(stand.minutes, 1),
        "place": _place(stand.place),
        "face_magnetic_deg": round(stand.face_magnetic_deg, 1),
        "crossing_deg": round(stand.crossing_deg, 1),
    }


def _unheard(unheard: UnheardWalk, kept_min: float) -> Json:
    return {
        "after": unheard.after,
        "stops": [_further(stop) for stop in unheard.stops],
        "males_expected": round(unheard.males, 3),
        "back": unheard.back.isoformat(),
        "words": unheard_sentence(unheard, kept_min),
    }


def _further(stop: FurtherStop) -> Json:
    return {
        "name": stop.place.name,
        "arrive": stop.arrive.isoformat(),
        "leave": stop.leave.isoformat(),
        "males_expected": round(stop.males, 3),
        **_place(stop.place),
    }


def _place(place: Place) -> Json:
    return {"lon_deg": place.lon_deg, "lat_deg": place.lat_deg, "usng": place.usng}


def _iso(moment: datetime | None) -> str | None:
    return None if moment is None else moment.isoformat()
