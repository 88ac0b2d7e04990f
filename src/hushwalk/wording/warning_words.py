"""What makes a plan doubtful, a sentence each: place, clock, law, season, car.

What is doubted is morning/warnings.py's business.
"""

from collections.abc import Callable, Mapping

from hushwalk.morning.warnings import MorningWarning, Trouble
from hushwalk.site.car_place import NearestRoad
from hushwalk.wording.formats import compass_point
from hushwalk.wording.measures import distance
from hushwalk.wording.range_words import law_sentence, out_of_range_sentence, wrong_zone_sentence


def warning_sentence(warning: MorningWarning) -> str:
    """Say what makes a plan doubtful."""
    return _SENTENCES[warning.trouble](warning)


def _road(road: NearestRoad | None) -> str:
    if road is None:
        return ""
    where = f"{distance(road.far_m)} {compass_point(road.azimuth_deg)}, at {road.lat_deg:.5f}, {road.lon_deg:.5f}"
    return f"; the nearest road is {where}"


def _cut_off(warning: MorningWarning) -> str:
    return (
        f"Cut off: from the car one comes to {warning.share:.0%} of the ground near it that feet could cross; "
        "water, cliffs, houses or closed ground bar the rest. If there is a bridge, give it as a road; "
        "else park elsewhere."
    )


def _out_of_range(warning: MorningWarning) -> str:
    return out_of_range_sentence(warning.bird, warning.off_km, warning.mend)


def _wrong_zone(warning: MorningWarning) -> str:
    return wrong_zone_sentence(warning.zone_error_h, warning.zone)


def _law(warning: MorningWarning) -> str:
    return "" if warning.law is None else law_sentence(warning.bird, warning.law)


def _in_water(warning: MorningWarning) -> str:
    return f"Car in water: the layers show open water where it stands{_road(warning.road)}; look at place.car."


def _off_road(warning: MorningWarning) -> str:
    return f"Car off the road: it stands on none that a layer shows{_road(warning.road)}; look at place.car."


def _out_of_season(warning: MorningWarning) -> str:
    head = f"Out of season: on {warning.day:%d %B} {warning.share:.0%} as many males display as at the peak"
    if warning.peak is None:
        return f"{head}; the season on the species card was found on the other side of the equator."
    return f"{head}, which is about {warning.peak:%d %B} at this latitude and height."


_SENTENCES: Mapping[Trouble, Callable[[MorningWarning], str]] = {
    Trouble.CUT_OFF: _cut_off,
    Trouble.OUT_OF_RANGE: _out_of_range,
    Trouble.WRONG_ZONE: _wrong_zone,
    Trouble.LAW: _law,
    Trouble.IN_WATER: _in_water,
    Trouble.OFF_ROAD: _off_road,
    Trouble.OUT_OF_SEASON: _out_of_season,
}


def not_stood_words(name: str) -> str:
    """Say why a stop of the plan that is under way is left out."""
    return (
        f"{name} of the plan is left out: by the layers and notes of today nobody may stand there (houses, built-up or "
        "private ground, a motorway, a shore or ground that the notes keep off)"
    )
