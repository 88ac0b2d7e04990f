"""Where the trip is, and whether a layer can lie there: its reference system held against the ground.

How systems are carried into each other is grid/systems.py's business.
"""

from dataclasses import dataclass
from pathlib import Path

import pyproj

from hushwalk.errors import ElsewhereError, InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import to_lonlat
from hushwalk.grid.systems import (
    Box,
    boxes_in,
    fitting_systems,
    name_of,
    outside_doubt,
    shift_doubt,
    system,
    transformer,
)
from hushwalk.site.place_mends import likely_mend

DEGREES = "EPSG:4326"


@dataclass(frozen=True)
class Georeference:
    """The ground of the trip, and where its files are.

    Parameters
    ----------
    grid : the grid everything is laid on.
    folder : where relative paths start.
    network : whether layers may lie on the network.
    """

    grid: Grid
    folder: Path
    network: bool

    @property
    def lonlat(self) -> tuple[float, float]:
        """Longitude and latitude of the middle of the ground [deg]."""
        west, south, east, north = self.grid.bounds
        lon, lat = to_lonlat(self.grid.epsg, [(west + east) / 2, (south + north) / 2]).tolist()
        return lon, lat

    def way_to(self, crs: str) -> pyproj.Transformer:
        """Way from the grid to another system."""
        return transformer(self.grid.crs, crs, *self.lonlat)

    def way_from(self, crs: str) -> pyproj.Transformer:
        """Way from another system to the grid."""
        return transformer(crs, self.grid.crs, *self.lonlat)

    def boxes(self, crs: str, grid: Grid | None = None) -> tuple[Box, ...]:
        """Limits of the ground, or of a part of it, in another system."""
        return boxes_in(Box(*(grid or self.grid).bounds), self.way_to(crs))


@dataclass(frozen=True)
class Claim:
    """What a layer says about where it lies.

    Parameters
    ----------
    label, shown : how to name the layer and its file in a message.
    own : reference system of the file, or empty.
    said : reference system the trip file gives for it, or None.
    box : limits in that system, or None where the file does not tell.
    """

    label: str
    shown: str
    own: str
    said: str | None
    box: Box | None


def resolve_system(claim: Claim, where: Georeference) -> tuple[str, tuple[str, ...]]:
    """Decide in which reference system a layer lies, and check that it can.

    Parameters
    ----------
    claim : what the layer says.
    where : the ground.

    Returns
    -------
    tuple
        The system, and notices about doubts that do not stop the trip.

    Raises
    ------
    InputError
        If the layer has no system, or cannot have the one it claims.
    ElsewhereError
        If the layer may be right, but does not reach the ground.
    """
    notices: list[str] = []
    crs = claim.said or claim.own
    if not crs:
        raise InputError(f"{claim.label}: {claim.shown} has no reference system; {_how_to_say(claim, where)}")
    try:
        found = system(crs)
        where.way_to(crs)
    except InputError as fault:
        raise InputError(f"{claim.label}: {'crs' if claim.said else claim.shown}: {fault}") from None
    if claim.said and claim.own and system(claim.own) != found:
        notices.append(f"read as {name_of(crs)}, as the trip file says; the file itself says {name_of(claim.own)}")
    if not (found.is_projected or found.is_geographic or found.is_compound or found.is_bound):
        raise InputError(f"{claim.label}: {claim.shown} is in {name_of(crs)}, which is no map; export it as UTM")
    if claim.box is not None:
        _check_reach(claim, crs, claim.box, where)
    warnings = shift_doubt(crs, where.grid.crs, *where.lonlat), outside_doubt(crs, *where.lonlat)
    return crs, (*notices, *(doubt for doubt in warnings if doubt))


def _check_reach(claim: Claim, crs: str, box: Box, where: Georeference) -> None:
    head = f"{claim.label}: {claim.shown}"
    degrees = system(crs).is_geographic
    if any(box.meets(ground) for ground in where.boxes(crs)) and (box.looks_like_degrees() or not degrees):
        return
    if degrees and any(box.swapped().meets(ground) for ground in where.boxes(crs)):
        raise InputError(
            f"{head} has latitude and longitude swapped (its first numbers run {box.west:.4f}..{box.east:.4f}, the "
            f"trip lies at longitude {where.lonlat[0]:.4f}); export it with longitude first"
        )
    if degrees and not box.looks_like_degrees():
        raise InputError(
            f"{head} is said to be in degrees ({name_of(crs)}), but its numbers run {_numbers(box)}; "
            f"{_how_to_say(claim, where)}"
        )
    if not degrees and any(box.meets(ground) for ground in where.boxes(DEGREES)):
        raise InputError(
            f"{head} is said to be in metres ({name_of(crs)}), but its numbers are degrees ({_numbers(box)}); "
            f'give crs = "{DEGREES}" for this layer'
        )
    fits = _fits(claim, where)
    fault = InputError if fits or not _in_degrees(box, crs, where) else ElsewhereError
    raise fault(
        f"{head} does not reach the ground of the trip: {_apart(box, crs, where)}{fits}{_car_mend(box, crs, where)}"
    )


def _car_mend(box: Box, crs: str, where: Georeference) -> str:
    """Name the slip in the place of the car with which the layer would reach it."""
    boxes = boxes_in(box, transformer(crs, DEGREES, *where.lonlat))
    mend = likely_mend(
        *where.lonlat, lambda lon, lat: any(b.west <= lon <= b.east and b.south <= lat <= b.north for b in boxes)
    )
    if mend is None:
        return ""
    return (
        f"; does the car stand at {mend.lat_deg:.4f}, {mend.lon_deg:.4f}? The layer covers that place: look whether in "
        f"place.car {mend.slip.value}"
    )


def _apart(box: Box, crs: str, where: Georeference) -> str:
    lon, lat = where.lonlat
    ground = boxes_in(Box(*where.grid.bounds), transformer(where.grid.crs, DEGREES, lon, lat))[0]
    layer = _in_degrees(box, crs, where)
    if not layer:
        return f"its numbers ({_numbers(box)}) are nowhere on the earth in {name_of(crs)}"
    nearest = min(layer, key=lambda part: _gap_km(part, ground))
    claimed = (
        f"it covers {_degrees(nearest)}, the trip {_degrees(ground)}, {_gap_words(_gap_km(nearest, ground))} apart"
    )
    return f"{claimed} (its system: {name_of(crs)})"


def _in_degrees(box: Box, crs: str, where: Georeference) -> tuple[Box, ...]:
    return boxes_in(box, transformer(crs, DEGREES, *where.lonlat))


def _gap_words(gap_km: float) -> str:
    return f"{gap_km:.0f} km" if gap_km >= 1 else f"{max(1000 * gap_km, 1):.0f} m"


def _gap_km(one: Box, other: Box) -> float:
    def between(low: float, high: float, other_low: float, other_high: float) -> tuple[float, float]:
        middle = min(max(low, (other_low + other_high) / 2), high)
        return middle, min(max(other_low, middle), other_high)

    lon, other_lon = between(one.west, one.east, other.west, other.east)
    lat, other_lat = between(one.south, one.north, other.south, other.north)
    return float(pyproj.Geod(ellps="WGS84").inv(lon, lat, other_lon, other_lat)[2]) / 1000


def _how_to_say(claim: Claim, where: Georeference) -> str:
    codes = _codes(claim, where)
    if codes:
        return f'its numbers would fit here as {" or ".join(codes[:3])}: if so, give crs = "{codes[0]}" for this layer'
    claimed = f" (its numbers run {_numbers(claim.box)})" if claim.box else ""
    return f'give crs = "EPSG:..." for this layer, as its maker states it{claimed}'


def _fits(claim: Claim, where: Georeference) -> str:
    codes = _codes(claim, where)
    return f'; its numbers would fit here as {" or ".join(codes[:3])}: if so, give crs = "{codes[0]}"' if codes else ""


def _codes(claim: Claim, where: Georeference) -> tuple[str, ...]:
    if claim.box is None:
        return ()
    return fitting_systems(claim.box, Box(*where.grid.bounds), where.grid.epsg, *where.lonlat)


def _numbers(box: Box) -> str:
    return f"{box.west:.7g}..{box.east:.7g} east, {box.south:.7g}..{box.north:.7g} north"


def _degrees(box: Box) -> str:
    return f"longitude {box.west:.3f}..{box.east:.3f}, latitude {box.south:.3f}..{box.north:.3f}"
