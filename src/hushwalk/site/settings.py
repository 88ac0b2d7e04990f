"""What a person says about a trip, as frozen values that are valid from birth.

Reading trip.toml into them is trip_file.py's business; so are the words for what is wrong with a file.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, fields
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Annotated, Any, ClassVar, Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from annotated_types import Ge, Gt, Le, Len

from hushwalk.errors import SettingsError
from hushwalk.files.field_filter import parse_filter
from hushwalk.hearing.availability import Rain
from hushwalk.hearing.conditions import Air, Snow
from hushwalk.hearing.forecast_wind import UNITS_MS, wind_at_ear_ms
from hushwalk.hearing.listener import Evidence
from hushwalk.site.camera_settings import CameraSettings
from hushwalk.site.campaign_settings import HOURS, CampaignSettings
from hushwalk.site.checked import STRICT, checked
from hushwalk.site.evening_settings import EveningSettings
from hushwalk.site.forecast_use import ForecastUse
from hushwalk.site.time_zone import day_fault
from hushwalk.site.units import Units, units_of
from hushwalk.site.wish_settings import WishSettings
from hushwalk.text import one_line

NOON = time(12)
"""Definition: the middle of the day by the clock."""

Positive = Annotated[float, Gt(0)]
Fraction = Annotated[float, Ge(0), Le(1)]
ForecastWind = Annotated[float, Ge(0), Le(200)] | None

LayerKind = Literal[
    "elevation",
    "cover",
    "canopy_cover",
    "canopy_height",
    "stand_age",
    "streams",
    "water",
    "wetlands",
    "trails",
    "roads",
    "buildings",
    "closed",
]
"""Kinds of layer that a trip may name. The first five are rasters (cover may be a polygon layer too)."""


@checked
@dataclass(frozen=True)
class PlaceSettings:
    """Where the trip is and where the car stands.

    ``car`` is any text that grid.points.parse_place reads: decimal degrees, degrees with minutes, UTM or USNG.
    ``name`` heads every page, so that it is kept as one line of what can be seen.
    """

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    name: str
    car: str

    def __post_init__(self) -> None:
        object.__setattr__(self, "name", one_line(self.name))


@checked
@dataclass(frozen=True)
class MorningSettings:
    """The one morning that is planned. Times are wall-clock times in ``time_zone``.

    A file may leave the zone out; whoever reads the file takes it from the place then.
    """

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    date: date
    back_by: time
    time_zone: str = ""
    leave_not_before: time | None = None
    minutes_per_stop_min: Annotated[int, Ge(1), Le(60)] = 3
    minutes_per_stop_max: Annotated[int, Ge(1), Le(60)] = 10
    longest_walk_km: Positive = 12.0
    off_trail_in_the_dark: bool = False
    stops_max: Annotated[int, Ge(1), Le(60)] = 30
    way: Literal["listen and close in", "listen and cross"] | None = None
    closing_in_minutes: Annotated[int, Ge(0), Le(240)] | None = None

    evening: ClassVar[bool] = False

    @property
    def back_at(self) -> datetime:
        """When one is back on the calendar, without a time zone; an evening may end after midnight."""
        later = self.evening and self.back_by < NOON
        return datetime.combine(self.date, self.back_by) + timedelta(days=int(later))

    def key(self, name: str) -> str:
        """Give the key of the trip file that says something of these hours.

        Examples
        --------
        >>> MorningSettings(date(2027, 4, 24), time(9)).key("back_by")
        'morning.back_by'
        """
        return f"{'evening' if self.evening and name in HOURS else 'morning'}.{name}"

    def faults(self) -> tuple[tuple[str, str], ...]:
        """Give what the keys of a morning say together that cannot be: key and words, the first to be mended first."""
        said = (
            ("time_zone", self._zone_fault()),
            ("date", self._date_fault()),
            ("minutes_per_stop_min", self._minutes_fault()),
            ("leave_not_before", self._leave_fault()),
            ("closing_in_minutes", self._way_fault()),
        )
        return tuple((key, words) for key, words in said if words)

    def _zone_fault(self) -> str:
        try:
            ZoneInfo(self.time_zone or "UTC")
        except (ZoneInfoNotFoundError, ValueError, OSError):
            return (
                f"morning.time_zone {self.time_zone!r} is not a time zone of the IANA list; "
                "write it like 'America/Chicago' or 'Europe/Oslo'"
            )
        return ""

    def _date_fault(self) -> str:
        fault = "" if self._zone_fault() else day_fault(self.date, self.time_zone or "UTC")
        return f"morning.date {self.date} {fault}" if fault else ""

    def _minutes_fault(self) -> str:
        least, most = self.minutes_per_stop_min, self.minutes_per_stop_max
        words = f"morning.minutes_per_stop_min ({least}) is above morning.minutes_per_stop_max ({most}); swap them"
        return words if least > most else ""

    def _leave_fault(self) -> str:
        if self.leave_not_before is None or datetime.combine(self.date, self.leave_not_before) < self.back_at:
            return ""
        hours = "evening" if self.evening else "morning"
        return (
            f"{hours}.leave_not_before is not before {hours}.back_by ({self.back_by}); "
            f"both are times of the same {hours}"
        )

    def _way_fault(self) -> str:
        """Minutes for closing in on a morning without it, or closing in without minutes."""
        minutes = self.closing_in_minutes
        if self.way is None or minutes is None or (minutes > 0) == (self.way == "listen and close in"):
            return ""
        mend = "give it minutes, or leave the key out" if minutes == 0 else "set it to 0, or leave one of the two out"
        return f'morning.closing_in_minutes is {minutes}, but morning.way is "{self.way}"; {mend}'


@checked
@dataclass(frozen=True)
class WalkerSettings:
    """How the person walks and hears."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    traveller: Literal["foot", "snowshoes"] = "foot"
    pace: str = "irmischer_clarke_off_path"
    pace_factor: Annotated[float, Ge(0.3), Le(5)] = 1.0
    off_path_factor: Annotated[float, Ge(0.3), Le(5)] = 1.0
    climb_factor: Annotated[float, Ge(0.3), Le(5)] = 1.0
    dark_factor: Annotated[float, Ge(0.3), Le(5)] = 1.0
    reserve: Annotated[float, Ge(0), Le(1)] = 0.15
    evidence: Evidence = "focal"
    evidence_weights: tuple[Fraction, Fraction, Fraction] | None = None
    hearing_offset_db: Annotated[float, Ge(-40), Le(40)] = 0.0
    bearing_error_deg: Annotated[float, Ge(1), Le(60)] = 15.0
    bearing_bias_deg: Annotated[float, Ge(-45), Le(45)] = 0.0
    bearing_shared_deg: Annotated[float, Ge(0), Le(30)] = 5.0
    bearing_strays: Annotated[float, Ge(0.001), Le(0.5)] = 0.05
    stand_off_m: Annotated[float, Ge(60), Le(500)] = 80.0
    compass: Literal["magnetic", "true", "grid"] = "magnetic"


@checked
@dataclass(frozen=True)
class SearchSettings:
    """How the person searches for logs late in the morning; what is left out is as in data/tables/field.toml."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    until: time | None = None
    pace_ms: Annotated[float, Ge(0.1), Le(1.5)] | None = None
    log_seen_from_m: Annotated[float, Ge(1), Le(40)] | None = None


@checked
@dataclass(frozen=True)
class WeatherSettings:
    """The weather the person expects, at the ear and on the ground.

    A forecast of the wind at 10 m over open ground, in any of four units, stands in for the wind at the ear.
    """

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    wind_at_ear_ms: Annotated[float, Ge(0), Le(30)] = 0.5
    snow: Snow = "none"
    air: Air = "calm dawn"
    temperature_c: Annotated[float, Ge(-40), Le(45)] = 2.0
    humidity_pct: Annotated[float, Ge(1), Le(100)] = 80.0
    rain: Rain = "none"
    snow_cover_share: Fraction = 0.0
    forecast_wind_ms: ForecastWind = None
    forecast_wind_kmh: ForecastWind = None
    forecast_wind_mph: ForecastWind = None
    forecast_wind_kn: ForecastWind = None

    def __post_init__(self) -> None:
        given = {unit: wind for unit in UNITS_MS if (wind := getattr(self, f"forecast_wind_{unit}")) is not None}
        if len(given) > 1:
            raise SettingsError(f"forecast_wind stands in {len(given)} units; keep one of {', '.join(given)}")
        for unit, wind in given.items():
            at_ear = wind_at_ear_ms(wind * UNITS_MS[unit])
            if self.wind_at_ear_ms not in {at_ear, type(self).wind_at_ear_ms}:
                raise SettingsError(f"forecast_wind_{unit} and wind_at_ear_ms both say how windy it is; keep one")
            object.__setattr__(self, "wind_at_ear_ms", at_ear)


@dataclass(frozen=True)
class HouseDistances:
    """How far one keeps from houses.

    Parameters
    ----------
    stop_m : nobody stands and listens nearer than this [m].
    leg_m : nobody walks off roads and trails nearer than this [m].
    """

    stop_m: float = 100.0  # judgement: out of sight and hearing of a house, where people sleep, in leafless woods
    leg_m: float = 60.0  # judgement: beyond the yard and the outbuildings of a house in the country


@checked
@dataclass(frozen=True)
class GroundSettings:
    """The grid of the trip: a square of half-width ``reach_m`` round the car; how far one keeps from houses on it.

    Nobody stands nearer than ``stop_from_houses_m`` to a house, nor walks off roads and trails nearer than
    ``walk_from_houses_m``. Private ways are crossed and not followed; with ``private_ways = "walk"`` they are open.
    """

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    cell_m: Annotated[float, Ge(2), Le(100)] = 10.0
    reach_m: Annotated[float, Ge(300), Le(25000)] = 2500.0
    region: str | None = None
    cycle: Literal["peak", "unknown", "low"] = "unknown"
    network: bool = False
    stop_from_houses_m: Annotated[float, Ge(0), Le(2000)] = HouseDistances.stop_m
    walk_from_houses_m: Annotated[float, Ge(0), Le(2000)] = HouseDistances.leg_m
    private_ways: Literal["cross", "walk"] = "cross"


@checked
@dataclass(frozen=True)
class LayerSettings:
    """One layer file.

    ``path`` is relative to the trip file, or to ``--layers`` where that is given. ``legend`` names a crosswalk of
    data/cover for a cover layer; ``classes`` gives one by hand (code -> cover kind). ``where`` chooses features by
    their fields, in the grammar of hushwalk.files.field_filter.
    """

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    kind: LayerKind
    path: str
    legend: str | None = None
    classes: dict[str, str] | None = None
    field: str | None = None
    where: str | None = None
    layer: str | None = None
    band: Annotated[int, Ge(1)] = 1
    crs: str | None = None
    nodata: float | None = None
    scale: Positive = 1.0
    unit: str | None = None
    note: str = ""

    def faults(self, label: str = "") -> tuple[tuple[str, str], ...]:
        """Give every key that has no effect for the kind of layer, and what is wrong with its filter.

        Parameters
        ----------
        label : how the layer is named in the words; its kind if not given.
        """
        name, keys = label or f"layer {self.kind}", keys_of(self.kind)
        idle = [f.name for f in fields(self) if getattr(self, f.name) != f.default and f.name not in keys]
        found = [
            (key, f"{name}: key {key!r} has no effect for this kind; take it out; the keys here are {', '.join(keys)}")
            for key in idle
        ]
        try:
            if self.where is not None:
                parse_filter(self.where)
        except SettingsError as fault:
            found.append(("where", f"{name}: where: {fault}"))
        return tuple(found)


@checked
@dataclass(frozen=True)
class ClosedSettings:
    """Ground that may not be entered, drawn by hand: longitude and latitude of at least three corners."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    name: str
    corners: Annotated[tuple[tuple[float, float], ...], Len(3)]


@checked
@dataclass(frozen=True)
class TripSettings:
    """All that a trip file says. ``folder`` is where relative paths start; ``forecast`` is what the weather is from.

    ``units`` are those that people read; where the file names none, those of the country of the place.

    ``zone_derived`` is set where the file leaves the time zone out and it was taken from the place.
    """

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    place: PlaceSettings
    morning: MorningSettings
    layers: Annotated[tuple[LayerSettings, ...], Len(1)]
    species: str = "ruffed_grouse"
    walker: WalkerSettings = WalkerSettings()
    search: SearchSettings = SearchSettings()
    weather: WeatherSettings = WeatherSettings()
    ground: GroundSettings = GroundSettings()
    closed: tuple[ClosedSettings, ...] = ()
    camera: CameraSettings = field(default_factory=CameraSettings)
    wishes: WishSettings = field(default_factory=WishSettings)
    campaign: CampaignSettings = field(default_factory=CampaignSettings)
    evening: EveningSettings = field(default_factory=EveningSettings)
    seed: Annotated[int, Ge(0), Le(2**32 - 1)] = 1
    units: Units | None = None
    folder: Path = field(default=Path(), compare=False)
    zone_derived: bool = field(default=False, compare=False)
    forecast: ForecastUse | None = field(default=None, compare=False)

    @property
    def reader_units(self) -> Units:
        """The units that people read: those the file names, else those of the country of the place."""
        return units_of(self.units, self.morning.time_zone)

    @property
    def derived_zone(self) -> str:
        """The time zone where it was taken from the place, else nothing."""
        return self.morning.time_zone if self.zone_derived else ""


def keys_of(kind: LayerKind) -> tuple[str, ...]:
    """Give the keys of a layer that have an effect for its kind.

    Examples
    --------
    >>> "where" in keys_of("trails"), "where" in keys_of("elevation")
    (True, False)
    """
    measured = kind in {"elevation", "canopy_cover", "canopy_height", "stand_age"}
    drawn = ("legend", "classes", "field", "where", "band", "nodata") if kind == "cover" else ("field", "where")
    own = ("band", "nodata", "scale", "unit") if measured else drawn
    own = (*own, "field") if kind == "elevation" else own
    return ("kind", "path", *own, "layer", "crs", "note")


def named_layers(specs: Sequence[LayerSettings]) -> list[tuple[str, LayerSettings]]:
    """Give each layer with its name: its kind, and where a kind comes several times, which of them it is.

    Examples
    --------
    >>> tiles = [LayerSettings("elevation", "west.tif"), LayerSettings("elevation", "east.tif")]
    >>> [name for name, _ in named_layers([*tiles, LayerSettings("stand_age", "age.tif")])]
    ['layer elevation (1 of 2)', 'layer elevation (2 of 2)', 'layer stand_age']
    """
    of_kind, seen = Counter(spec.kind for spec in specs), Counter[str]()
    named = []
    for spec in specs:
        seen[spec.kind] += 1
        which = f" ({seen[spec.kind]} of {of_kind[spec.kind]})" if of_kind[spec.kind] > 1 else ""
        named.append((f"layer {spec.kind}{which}", spec))
    return named
