"""Stands of two people in the same minutes, by hand."""

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any

from hushwalk.campaign.two_people import shared_stands

SIX = datetime(2027, 4, 24, 6, tzinfo=UTC)


def stop(name: str, east_m: float, begin_min: float, minutes: float = 6.0) -> Any:
    begin = SIX + timedelta(minutes=begin_min)
    place = SimpleNamespace(name=name, xy_m=(east_m, 0.0))
    return SimpleNamespace(place=place, arrive=begin, leave=begin + timedelta(minutes=minutes))


def test_stands_are_shared_for_some_minutes_from_where_lines_cross() -> None:
    mine = [stop("P01", 0.0, 0.0), stop("P02", 300.0, 20.0)]
    yours = [stop("P01", 250.0, 2.0), stop("P02", 350.0, 20.0), stop("P03", 650.0, 24.0), stop("P04", 1500.0, 20.0)]
    (stand,) = shared_stands(mine, yours)  # the others: 50 m apart; two minutes together; beyond hearing of each other
    assert stand.stops == ("P01", "P01")
    assert (stand.begin, stand.end) == (SIX + timedelta(minutes=2), SIX + timedelta(minutes=6))
    assert stand.apart_m == 250.0
