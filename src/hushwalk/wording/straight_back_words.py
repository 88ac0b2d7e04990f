"""Straight back to the car in words that are read while walking.

The way is worked out in morning/straight_back.py.
"""

from hushwalk.morning.straight_back import StraightBack
from hushwalk.wording.formats import bearing
from hushwalk.wording.measures import distance


def straight_back_words(way: StraightBack, reason: str = "") -> str:
    """Say where to go now, how long it takes, whether one is late, and why where more than the clock is the reason."""
    late_min = (way.back - way.due).total_seconds() / 60
    late = f", {late_min:.0f} min after {way.due:%H:%M}: tell those who wait" if late_min >= 1 else ""
    why = f"\n  note: {reason}" if reason else ""
    if not way.away_m:
        return f"Straight home now: you stand at the car, {way.car}{late}.{why}"
    towards = f"{bearing(way.magnetic_deg)} compass, {distance(way.away_m)} as the crow flies"
    return (
        f"Straight back now: {towards}, {way.minutes:.0f} min on the quickest way; at the car by {way.back:%H:%M}"
        f"{late}. Car at {way.car}.{why}"
    )
