"""What a person says about camera, lenses and logs to film at: the optional [camera] table of a trip file.

What is made of it is session.py's business; all other tables are in settings.py.
"""

from dataclasses import dataclass, field
from datetime import date
from typing import Annotated, Any, ClassVar, Literal

from annotated_types import Ge, Gt, Le, Len

from hushwalk.errors import SettingsError
from hushwalk.site.checked import STRICT, checked

Positive = Annotated[float, Gt(0)]
Azimuth = Annotated[float, Ge(0), Le(360)]
SensorName = Literal["full_frame", "aps_c", "aps_c_small", "four_thirds", "super_35_video"]
Canopy = Literal["open", "leafless_aspen", "leafless_mixed", "leafy_aspen", "leafy_thicket"]
Sky = Literal["clear", "broken", "overcast"]
Droppings = Literal["none", "few", "fresh pile", "old pile"]


@checked
@dataclass(frozen=True)
class LensSettings:
    """One lens; of a zoom, ``focal_mm`` is the longest and ``widest_mm`` the shortest focal length.

    ``f_number`` is the widest aperture at ``focal_mm``, ``f_number_wide`` at ``widest_mm``.
    """

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    name: str
    focal_mm: Positive
    f_number: Positive
    nearest_m: Positive
    widest_mm: Positive | None = None
    f_number_wide: Positive | None = None


@checked
@dataclass(frozen=True)
class LogSettings:
    """A log to film at, or more about a log of the ledger that has the same name.

    ``place`` is any text that is read as a place; it may be left out for a log of the ledger. ``skyline`` lists
    azimuth from true north and angle of what was measured from the log [deg]; ``facing_deg`` where the bird faces.
    By side: ``hide_m`` how far off a hide can stand, ``stands_m`` where it stands already, ``tripod_m`` how high the
    lens is, ``backdrop_m`` what stands there, ``view_share`` how open the view is, ``access`` from where one comes
    unseen. ``droppings`` as in field notes.
    """

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    name: Annotated[str, Len(1)]
    place: str = ""
    facing_deg: tuple[Azimuth, ...] = ()
    height_m: Annotated[float, Ge(0), Le(3)] | None = None
    skyline: tuple[tuple[Azimuth, Annotated[float, Ge(-30), Le(90)]], ...] = ()
    backdrop_m: dict[str, Positive] = field(default_factory=dict)
    hide_m: dict[str, Positive] = field(default_factory=dict)
    stands_m: dict[str, Positive] = field(default_factory=dict)
    tripod_m: dict[str, Positive] = field(default_factory=dict)
    view_share: dict[str, Annotated[float, Ge(0), Le(1)]] = field(default_factory=dict)
    access: tuple[str, ...] | None = None
    droppings: Droppings | None = None

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise SettingsError("a [[camera.log]] has a blank name; give it one, such as LOG03")


@checked
@dataclass(frozen=True)
class DaySettings:
    """What is expected of one day, from a forecast: sky, rain and wind; what is left out is as on every day."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    date: date
    sky: Sky | None = None
    rain: Literal["none", "light", "steady"] | None = None
    wind_at_ear_ms: Annotated[float, Ge(0), Le(30)] | None = None


@checked
@dataclass(frozen=True)
class CameraSettings:
    """Camera, lenses, the light expected and the logs to film at.

    Parameters
    ----------
    sensor : a usual one; ``sensor_mm`` (width, height) replaces its size, ``confusion_mm`` its circle of confusion.
    lens : the lenses that the person owns.
    extenders : factors of the tele-extenders owned, such as 1.4.
    frame_m : wanted width of the field at the bird [m].
    iso_max : the highest ISO that the person puts up with.
    frames_per_s, video_crop : of the video; the crop counts on the width of the sensor's 16:9 part.
    sky : cloud expected.
    canopy : crowns over the log; None to take them from the layers and the day. ``transmittance`` is measured there and
        replaces them.
    wind_from_deg : where the wind comes from, if known [deg].
    log : logs to film at.
    day : what a forecast says of single days.
    """

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    sensor: SensorName = "full_frame"
    sensor_mm: tuple[Positive, Positive] | None = None
    confusion_mm: Positive | None = None
    lens: tuple[LensSettings, ...] = ()
    extenders: tuple[Annotated[float, Gt(1), Le(4)], ...] = ()
    frame_m: Annotated[float, Ge(0.3), Le(20)] = 1.2
    iso_max: Annotated[float, Ge(50), Le(1_000_000)] = 6400.0
    frames_per_s: Annotated[float, Ge(1), Le(1000)] = 50.0
    video_crop: Annotated[float, Ge(1), Le(4)] = 1.0
    sky: Sky = "clear"
    canopy: Canopy | None = None
    transmittance: Annotated[float, Gt(0), Le(1)] | None = None
    wind_from_deg: Azimuth | None = None
    log: tuple[LogSettings, ...] = ()
    day: tuple[DaySettings, ...] = ()

    def __post_init__(self) -> None:
        names = [log.name.strip().upper() for log in self.log]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice is not None:
            raise SettingsError(f"two [[camera.log]] are called {twice}; give each log one name and one table")
