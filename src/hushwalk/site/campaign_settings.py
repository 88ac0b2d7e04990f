"""Several days as one job: the optional [campaign] table of a trip file.

How they are planned together is the campaign room's business; hours and weather of an evening are in
evening_settings.py, all other tables in settings.py.
"""

from dataclasses import dataclass, fields
from datetime import date, time
from typing import Annotated, Any, ClassVar, Literal

from annotated_types import Ge, Le

from hushwalk.hearing.availability import Rain
from hushwalk.hearing.conditions import Air, Snow
from hushwalk.site.checked import STRICT, checked


@checked
@dataclass(frozen=True)
class OtherHours:
    """Hours and weather that differ from those of the trip; what is left out is as for the trip."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    back_by: time | None = None
    leave_not_before: time | None = None
    wind_at_ear_ms: Annotated[float, Ge(0), Le(30)] | None = None
    snow: Snow | None = None
    air: Air | None = None
    temperature_c: Annotated[float, Ge(-40), Le(45)] | None = None
    humidity_pct: Annotated[float, Ge(1), Le(100)] | None = None
    rain: Rain | None = None
    snow_cover_share: Annotated[float, Ge(0), Le(1)] | None = None

    def said(self, *names: str) -> dict[str, Any]:
        """Give the keys of some names that are not left out."""
        return {name: getattr(self, name) for name in names if getattr(self, name) is not None}


@checked
@dataclass(frozen=True, kw_only=True)
class CampaignDay(OtherHours):
    """What is different on one day, or on its evening: the car place, the hours, the weather."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    date: date
    evening: bool = False
    car_at: str | None = None


@checked
@dataclass(frozen=True)
class CampaignSettings:
    """Which days, and where the car may stand.

    ``days`` are the mornings, ``evenings`` the days whose evenings are walked; ``cars`` the places of which each walk
    takes the best, those of ``place.car`` and of the day itself besides; every ``[[campaign.exception]]`` says what is
    different on its day.
    """

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    days: tuple[date, ...] = ()
    evenings: tuple[date, ...] = ()
    cars: tuple[str, ...] = ()
    exception: tuple[CampaignDay, ...] = ()


Hours = Literal["back_by", "leave_not_before"]
HOURS: tuple[Hours, ...] = ("back_by", "leave_not_before")
WEATHER = tuple(one.name for one in fields(OtherHours) if one.name not in HOURS)
