"""What a person says about a wide region in which new ground is sought, and how its file is read.

Trips have a file of their own: settings.py and trip_file.py.
"""

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Annotated, Any, ClassVar, Literal

from annotated_types import Ge, Gt, Le, Len

from hushwalk.errors import SettingsError
from hushwalk.grid.points import parse_place
from hushwalk.site.checked import STRICT, checked
from hushwalk.site.settings import (
    Fraction,
    LayerSettings,
    MorningSettings,
    Positive,
    WalkerSettings,
    WeatherSettings,
)
from hushwalk.site.species import path_of_card
from hushwalk.site.toml_lines import key_lines
from hushwalk.site.toml_text import settings_text
from hushwalk.site.trip_file import (
    check_layers,
    check_morning,
    parse_settings,
    with_zone_of,
)
from hushwalk.site.units import Units


@checked
@dataclass(frozen=True)
class RegionSettings:
    """The region. ``bounds`` is west, south, east, north in degrees; without it the cover layer's own limits hold."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    name: str
    bounds: Annotated[tuple[float, ...], Len(4, 4)] | None = None
    cell_m: Annotated[float, Ge(10), Le(100)] = 30.0
    region: str | None = None
    cycle: Literal["peak", "unknown", "low"] = "unknown"
    network: bool = False

    def faults(self) -> tuple[tuple[str, str], ...]:
        """Give the key whose values cannot be bounds, with what is wrong."""
        bounds = self.bounds
        if bounds is None or (-180 <= bounds[0] < bounds[2] <= 180 and -85 <= bounds[1] < bounds[3] <= 85):  # noqa: PLR2004
            return ()
        said = (
            f"region.bounds {list(bounds)} must be west, south, east, north in degrees, as [-91.0, 46.5, -89.5, 47.5]"
        )
        return (("bounds", said),)


@checked
@dataclass(frozen=True)
class PlacesSettings:
    """Where a car can stand: points of a layer, or else ends of roads and places along them."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    path: str | None = None
    layer: str | None = None
    crs: str | None = None
    name_field: str | None = None
    spacing_m: Annotated[float, Ge(100), Le(20000)] = 1000.0
    most: Annotated[int, Ge(1), Le(20000)] = 2000
    closed_share_max: Fraction = 0.9


@checked
@dataclass(frozen=True)
class ScoutedSettings:
    """Ground that is known already: points, each with a radius."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    path: str
    layer: str | None = None
    crs: str | None = None
    radius_m: Positive = 1500.0


@checked
@dataclass(frozen=True)
class DriveSettings:
    """Where the drive begins, how fast it goes, and how long it may last. Speeds by the kind that the roads tell."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    home: str
    longest_min: Positive = 180.0
    speed_kmh: Annotated[float, Gt(0), Le(130)] = 40.0
    speeds_kmh: dict[str, Positive] | None = None


@checked
@dataclass(frozen=True)
class AreaSettings:
    """All that an area file says. ``folder`` is where relative paths start.

    ``zone_derived`` is set where the file leaves the time zone out and it was taken from the middle of the bounds.
    """

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    region: RegionSettings
    morning: MorningSettings
    layers: Annotated[tuple[LayerSettings, ...], Len(1)]
    species: str = "ruffed_grouse"
    units: Units | None = None
    places: PlacesSettings = field(default_factory=PlacesSettings)
    scouted: ScoutedSettings | None = None
    drive: DriveSettings | None = None
    walker: WalkerSettings = field(default_factory=WalkerSettings)
    weather: WeatherSettings = field(default_factory=WeatherSettings)
    folder: Path = field(default=Path(), compare=False)
    zone_derived: bool = field(default=False, compare=False)

    @property
    def derived_zone(self) -> str:
        """The time zone where it was taken from the middle of the bounds, else nothing."""
        return self.morning.time_zone if self.zone_derived else ""


def read_area_file(path: Path) -> AreaSettings:
    """Read an area file.

    Parameters
    ----------
    path : the TOML file.

    Raises
    ------
    MissingFileError
        If the file is not there.
    SettingsError
        If it is no TOML, or a key or a value cannot be used; every fault is listed, each with its line.
    """
    text = settings_text(path, f"there is no area file {path}; see `hushwalk areas --help` for what one holds")
    settings, folder = parse_area_file(text, str(path)), path.resolve().parent
    return replace(settings, folder=folder, species=path_of_card(settings.species, folder))


def parse_area_file(text: str, file_name: str = "areas.toml") -> AreaSettings:
    """Turn the text of an area file into settings.

    Raises
    ------
    SettingsError
        As for :func:`read_area_file`.
    """
    settings = parse_settings(text, file_name, AreaSettings)
    lines = key_lines(text)
    bounds = settings.region.bounds
    for _, words in settings.region.faults():
        raise SettingsError(f"{file_name}: {words}")
    if not settings.morning.time_zone:
        if bounds is None:
            raise SettingsError(
                f"{file_name}: 'morning.time_zone' is missing, and without region.bounds it cannot be taken from the "
                'place; say whose clock, as time_zone = "America/Chicago"'
            )
        middle = f"{(bounds[1] + bounds[3]) / 2:.6f}, {(bounds[0] + bounds[2]) / 2:.6f}"
        settings = replace(settings, morning=with_zone_of(settings.morning, middle), zone_derived=True)
    check_morning(settings.morning, lines, file_name)
    check_layers(settings.layers, lines, file_name)
    if settings.drive is not None:
        parse_place(settings.drive.home)
    return settings
