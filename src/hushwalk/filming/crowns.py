"""How much light the crowns over a log let through on a day: as measured, as typed, or from the layers and the season.

How sun and sky come through them is science/side_light.py's business.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

import numpy as np

from hushwalk.hearing.availability import Display, peak_day
from hushwalk.science.exposure import exposure_table
from hushwalk.site.camera_settings import CameraSettings
from hushwalk.site.place import Place
from hushwalk.site.reading.cover import cover_kinds
from hushwalk.site.site import Site

AROUND_M = 30.0  # judgement: crowns this far off stand between a log and a low sun


class CrownsFrom(StrEnum):
    """Where the light below the crowns is taken from."""

    MEASURED = "measured"
    TYPED = "typed"
    LAYERS = "layers"
    COVER = "cover"
    ASSUMED = "assumed"


@dataclass(frozen=True)
class Crowns:
    """Crowns over a log on a day.

    Parameters
    ----------
    share : of the light of the sky that comes through, 0..1.
    known_from : where it is taken from.
    cover, conifer, leaf : share of the sky that crowns cover, conifers among them, leaves that are out, 0..1; 0 where
        the light was measured or typed.
    typed : key of the canopy that was typed, or nothing.
    """

    share: float
    known_from: CrownsFrom
    cover: float = 0.0
    conifer: float = 0.0
    leaf: float = 0.0
    typed: str = ""


def crowns_at(xy_m: tuple[float, float], camera: CameraSettings, site: Site, leaf: float) -> Crowns:
    """Find the crowns over a log.

    Parameters
    ----------
    xy_m : of the log, easting and northing [m].
    camera : what was measured or typed.
    site : with the layers.
    leaf : share of the leaves that are out, 0..1.

    Returns
    -------
    Crowns

    Notes
    -----
    Closed crowns let through the measured share of their kind, conifers and leaves mixed in the logarithm; below broken
    crowns the gaps between them count in full.

    References
    ----------
    boreas_old_aspen, constabel_lieffers_1996
    """
    table = exposure_table()
    if camera.transmittance is not None:
        return Crowns(camera.transmittance, CrownsFrom.MEASURED)
    if camera.canopy is not None:
        return Crowns(table["canopy"][camera.canopy]["transmittance"], CrownsFrom.TYPED, typed=camera.canopy)
    around = _around(xy_m)
    cover, conifer, how = _cover(site, around)
    closed = table["crowns"]
    through = closed["conifer"] ** conifer * (closed["bare"] ** (1 - leaf) * closed["leafy"] ** leaf) ** (1 - conifer)
    share = 1 - min(cover / closed["closed_at"], 1.0) * (1 - through)
    return Crowns(float(share), how, cover, conifer, leaf)


def leaf_out(day: date, place: Place, display: Display) -> float:
    """Share of the leaves that are out on a day.

    Parameters
    ----------
    day : on the calendar.
    place : of the log.
    display : of the species, whose peak the leaves follow.

    Returns
    -------
    float
        0..1.
    """
    table = exposure_table()["leaves"]
    peak = peak_day(display, place.lat_deg, place.elevation_m)
    since = day.timetuple().tm_yday - peak
    return float(np.interp(since, table["days_after_peak"], table["out"]))


def _around(xy_m: tuple[float, float]) -> np.ndarray:
    steps = np.linspace(-AROUND_M, AROUND_M, 7)
    east, north = np.meshgrid(steps, steps)
    inside = np.hypot(east, north) <= AROUND_M
    return np.asarray(xy_m) + np.column_stack([east[inside], north[inside]])


def _cover(site: Site, around: np.ndarray) -> tuple[float, float, CrownsFrom]:
    """Crown cover, share of conifers, and where both are taken from."""
    kinds, conifer, forest = cover_kinds(), 0.0, float("nan")
    if site.inputs.cover is not None:
        codes = site.inputs.cover.at(around)
        found = [kinds[int(code)] for code in codes[np.isfinite(codes)]]
        shares = [kind.conifer_share for kind in found if np.isfinite(kind.conifer_share) and not kind.open]
        conifer = float(np.mean(shares)) if shares else 0.0
        forest = float(np.mean([not kind.open for kind in found])) if found else float("nan")
    layer = site.inputs.measures.get("canopy_cover")
    measured = np.full(1, np.nan) if layer is None else layer.at(around)
    if np.isfinite(measured).any():
        return float(np.nanmean(measured)), conifer, CrownsFrom.LAYERS
    closed = float(exposure_table()["crowns"]["closed_at"])
    if np.isfinite(forest):
        return forest * closed, conifer, CrownsFrom.COVER
    return closed, 0.0, CrownsFrom.ASSUMED
