"""The ground that a person asks for: a square round a car, a region round a place, or limits in degrees.

What lies on it is story.py's story.
"""

from dataclasses import dataclass

from hushwalk.errors import SettingsError
from hushwalk.gather.square import MARGIN_M, checked_box, square_round
from hushwalk.grid.points import parse_place
from hushwalk.grid.systems import Box

LIMITS = 4  # definition: west, south, east, north


@dataclass(frozen=True)
class ChosenGround:
    """Limits in degrees, where the car stands (longitude, latitude) if anywhere, and whether it is a wide region."""

    box: Box
    car: tuple[float, float] | None
    wide: bool
    name: str


def chosen_ground(car: str | None, region: str | None, reach_m: float, radius_km: float | None) -> ChosenGround:
    """Give the ground that a person asks for.

    Parameters
    ----------
    car : where it stands, or the middle of a region; any text that a place is read from.
    region : west, south, east, north in degrees.
    reach_m : half the side of the square of a morning; the surroundings are gathered too [m].
    radius_km : of a region round ``car`` [km].

    Returns
    -------
    ChosenGround

    Raises
    ------
    SettingsError
        If neither a car nor a region is named, both are, or the limits cannot be read.
    PlaceError
        If the place cannot be read.
    """
    if (car is None) == (region is None):
        raise SettingsError('say where: --car "47.62, -91.70", or --region "-92.3,47.2,-91.0,47.9"; one of the two')
    if region is not None:
        box = _limits(region)
        return ChosenGround(
            box, None, wide=True, name=f"Region {box.west:g}, {box.south:g} to {box.east:g}, {box.north:g}"
        )
    lon, lat = parse_place(str(car))
    half_m = reach_m + MARGIN_M if radius_km is None else radius_km * 1000
    name = f"{lat:.4f}, {lon:.4f}"
    return ChosenGround(square_round(lat, lon, half_m), (lon, lat), wide=radius_km is not None, name=name)


def _limits(region: str) -> Box:
    parts = region.split(",")
    try:
        values = [float(part) for part in parts]
    except ValueError:
        values = []
    if len(values) != LIMITS:
        raise SettingsError(f"--region {region!r} must be four numbers: west, south, east, north in degrees")
    return checked_box(Box(*values))
