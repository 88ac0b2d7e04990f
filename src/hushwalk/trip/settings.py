"""What a person says about a trip, as frozen values that are valid from birth.

Reading trip.toml into them is trip_file.py's business; so are the words for what is wrong with a file.
"""

from dataclasses import dataclass
from datetime import date, time
from pathlib import Path
from typing import Literal

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
    "closed",
]
"""Kinds of layer that a trip may name. The first five are rasters (cover may be a polygon layer too)."""

Evidence = Literal["focal", "pessimistic"]
Snow = Literal["none", "old", "fresh"]
Air = Literal["calm dawn", "neutral", "upwind"]


@dataclass(frozen=True)
class PlaceSettings:
    """Where the trip is and where the car stands.

    ``car`` is any text that grid.points.parse_place reads: decimal degrees, degrees with minutes, UTM or USNG.
    """

    name: str
    car: str


@dataclass(frozen=True)
class MorningSettings:
    """The one morning that is planned. Times are wall-clock times in ``time_zone``."""

    date: date
    time_zone: str
    back_by: time
    leave_not_before: time | None = None
    minutes_per_stop_min: int = 3
    minutes_per_stop_max: int = 10
    longest_walk_km: float = 12.0
    off_trail_in_the_dark: bool = False
    stops_max: int = 14


@dataclass(frozen=True)
class WalkerSettings:
    """How the person walks and hears."""

    pace: str = "irmischer_clarke_off_path"
    pace_factor: float = 1.0
    evidence: Evidence = "focal"
    hearing_offset_db: float = 0.0
    bearing_error_deg: float = 12.0
    stand_off_m: float = 80.0


@dataclass(frozen=True)
class WeatherSettings:
    """The weather the person expects, at the ear and on the ground."""

    wind_at_ear_ms: float = 0.5
    snow: Snow = "none"
    air: Air = "calm dawn"
    temperature_c: float = 2.0
    humidity_pct: float = 80.0
    rain: Literal["none", "light", "steady"] = "none"
    snow_cover_share: float = 0.0


@dataclass(frozen=True)
class GroundSettings:
    """The grid of the trip: a square of half-width ``reach_m`` round the car, or what ``bounds`` says."""

    cell_m: float = 10.0
    reach_m: float = 2500.0
    region: str = "lake_states"
    cycle: Literal["peak", "unknown", "low"] = "unknown"
    network: bool = False


@dataclass(frozen=True)
class LayerSettings:
    """One layer file.

    ``path`` is relative to the trip file, or to ``--layers`` where that is given. ``legend`` names a crosswalk of
    data/cover for a cover layer; ``classes`` gives one by hand (code -> cover kind).
    """

    kind: LayerKind
    path: str
    legend: str | None = None
    classes: dict[str, str] | None = None
    field: str | None = None
    layer: str | None = None
    band: int = 1
    crs: str | None = None
    nodata: float | None = None
    scale: float = 1.0
    unit: str | None = None
    note: str = ""


@dataclass(frozen=True)
class ClosedSettings:
    """Ground that may not be entered, drawn by hand: longitude and latitude of at least three corners."""

    name: str
    corners: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class TripSettings:
    """All that a trip file says. ``folder`` is where relative paths start."""

    place: PlaceSettings
    morning: MorningSettings
    layers: tuple[LayerSettings, ...]
    species: str = "ruffed_grouse"
    walker: WalkerSettings = WalkerSettings()
    weather: WeatherSettings = WeatherSettings()
    ground: GroundSettings = GroundSettings()
    closed: tuple[ClosedSettings, ...] = ()
    seed: int = 1
    folder: Path = Path()
