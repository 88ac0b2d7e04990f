"""hushwalk: plan a quiet dawn walk that hears as many displaying forest grouse as possible.

In Python, everything begins with ``site = hushwalk.open_trip("trip.toml")``. What is public stands in ``__all__``; it
is loaded when it is first asked for, so that ``import hushwalk`` takes no time. Types stand in ``__init__.pyi``.
"""

from importlib import import_module
from typing import Any

from hushwalk.compile_cache import keep_apart

__version__ = "0.1.0"

keep_apart(__version__)

_ERRORS = (
    *("HushwalkError", "SettingsError", "InputError", "ElsewhereError", "MissingFileError", "GridMismatchError"),
    *("PlaceError", "SourceError", "OutputError", "NoPlanError", "ServiceError", "WorkersLostError"),
)
_SETTINGS = (
    *("TripSettings", "PlaceSettings", "MorningSettings", "WalkerSettings", "SearchSettings", "WeatherSettings"),
    *("GroundSettings", "LayerSettings", "ClosedSettings"),
)
_CAMERA = ("CameraSettings", "LensSettings", "LogSettings", "DaySettings")
_ANSWERS = ("PlaceReasons", "PlaceEarshot", "SoundPath", "BirdFixes", "FilmingSessions")
_ROOM_OF = {
    "open_trip": "api.opening",
    "orienteering": "api.opening",
    "write_demo": "api.demo",
    "Trip": "api.trip",
    **dict.fromkeys(_ANSWERS, "api.answers"),
    "MorningPlan": "api.plans",
    "Layer": "grid.layer",
    "Grid": "grid.grid",
    **dict.fromkeys(_SETTINGS, "site.settings"),
    **dict.fromkeys(_CAMERA, "site.camera_settings"),
    "WishSettings": "site.wish_settings",
    "CampaignSettings": "site.campaign_settings",
    "CampaignDay": "site.campaign_settings",
    **dict.fromkeys(_ERRORS, "errors"),
}
"""Module of each public name."""

__all__ = ["__version__", *_ROOM_OF]  # noqa: PLE0604 - names, each a text


def __getattr__(name: str) -> Any:  # noqa: ANN401 - whatever is public
    if name not in _ROOM_OF:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found = getattr(import_module(f"hushwalk.{_ROOM_OF[name]}"), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted({*globals(), *_ROOM_OF})
