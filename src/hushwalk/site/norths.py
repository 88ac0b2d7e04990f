"""How true, grid and magnetic north lie at the car on the day.

Turning a compass reading into a bearing is the notes room's business.
"""

from dataclasses import dataclass

import numpy as np

from hushwalk.grid.points import convergence_deg
from hushwalk.science.magnetic import declination, magnetic_from_true
from hushwalk.site.morning_clock import Clock
from hushwalk.site.site import Site


@dataclass(frozen=True)
class North:
    """How the three norths lie, at the car on the day. East is positive."""

    declination_deg: float
    declination_error_deg: float
    convergence_deg: float
    sentence: str


def north_of(site: Site, clock: Clock) -> North:
    """How true, grid and magnetic north lie at the car on the day, with one plain sentence."""
    car = site.car
    magnetic = declination(clock.midnight.date(), car.lon_deg, car.lat_deg, car.elevation_m)
    grid_deg = float(convergence_deg(site.grid.epsg, np.asarray(car.xy_m)))
    side = "east" if magnetic.declination_deg >= 0 else "west"
    example = float(magnetic_from_true(90.0, magnetic.declination_deg)) % 360
    sentence = (
        f"Magnetic north lies {abs(magnetic.declination_deg):.1f} degrees {side} of true north: "
        f"a true bearing of 090 reads {example:03.0f} on the compass."
    )
    if magnetic.compass != "good":
        sentence += f" The compass is {magnetic.compass} this near the magnetic pole: trust the map, not the needle."
    return North(magnetic.declination_deg, magnetic.error_deg, grid_deg, sentence)
