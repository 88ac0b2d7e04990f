"""A log as it was noted, as plain values: what stands round it, the signs of use, and the ground for a hide.

What they are worth is the logs room's business.
"""

from collections.abc import Collection, Mapping
from dataclasses import replace

from hushwalk.grid.terrain import slope
from hushwalk.logs.log import HideGround, Log
from hushwalk.logs.sectors import SECTORS, opposite, sector_azimuth_deg, sector_list, sector_values
from hushwalk.logs.use import LogSigns
from hushwalk.notes.notes import LENS_MAX_M, LogNote
from hushwalk.site.camera_settings import LogSettings
from hushwalk.site.site import Site


def noted_log(note: LogNote, xy_m: tuple[float, float]) -> Log:
    """Give a log and what was noted round it; the bird faces away from where its droppings lie."""
    front = (sector_azimuth_deg(opposite(note.dropping_side)),) if note.dropping_side in SECTORS else ()
    return Log(
        xy_m=xy_m,
        height_m=note.height_m,
        slope_deg=note.slope_deg,
        facing_deg=front,
        backdrop_m=sector_values(note.backdrop_m, "backdrop_m", 0, 1000),
        room_m=sector_values(note.hide_m, "hide_m", 0, 1000),
        view_share=sector_values(note.view_share, "view_share", 0, 1),
        access=sector_list(note.access, "access") if note.access.strip() else None,
        stands_m=sector_values(note.stands_m or "", "stands_m", 0, 1000),
        tripod_m=sector_values(note.tripod_m or "", "tripod_m", 0, LENS_MAX_M),
    )


def with_own(log: Log, own: LogSettings) -> Log:
    """Give a log with what the trip file says of it; that goes before what was noted."""

    def upper(values: Mapping[str, float]) -> dict[str, float]:
        return {side.upper(): value for side, value in values.items()}

    return replace(
        log,
        height_m=log.height_m if own.height_m is None else own.height_m,
        facing_deg=own.facing_deg or log.facing_deg,
        backdrop_m={**log.backdrop_m, **upper(own.backdrop_m)},
        room_m={**log.room_m, **upper(own.hide_m)},
        stands_m={**log.stands_m, **upper(own.stands_m)},
        tripod_m={**log.tripod_m, **upper(own.tripod_m)},
        view_share={**log.view_share, **upper(own.view_share)},
        access=log.access if own.access is None else tuple(side.upper() for side in own.access),
    )


def noted_signs(note: LogNote, heard: Collection[str] = ()) -> LogSigns:
    """Give the signs of use that were noted at a log; ``heard`` holds the names of the birds that were heard."""
    there = bool(note.bird) and note.bird in heard
    return LogSigns(note.droppings, note.worn, note.litter_blown, note.cover_share, note.floor_open_m, there)


def hide_ground(site: Site) -> HideGround:
    """Give the ground of a site that a hide can stand on."""
    elevation = site.ground.elevation
    return HideGround(elevation, slope(elevation), site.ground.no_entry | site.ground.passage.no_stop)
