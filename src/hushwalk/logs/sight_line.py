"""Line of sight from the lens to the log over the ground between them, from the elevation layer.

Growth and humps smaller than a cell are not in it: they are looked for lying behind the tripod.
"""

from dataclasses import dataclass

import numpy as np

from hushwalk.grid.layer import Layer
from hushwalk.grid.profile import profile
from hushwalk.logs.log import Log, log_table

STEP_M = 0.5  # judgement: a step at which a bilinear surface bends by next to nothing


@dataclass(frozen=True)
class SightLine:
    """What the ground between hide and log leaves of the view of the top of the log.

    Parameters
    ----------
    lens_m : height of the lens above the ground [m].
    noted : whether that was noted at the log.
    least_m : lowest lens that sees the top of the log, 0 where the ground hides nothing; None where heights are
        unknown [m].
    hump_m : how far in front of the lens the ground that decides lies [m].
    cell_m : of the heights: smaller humps are not in them [m].
    """

    lens_m: float
    noted: bool
    least_m: float | None
    hump_m: float
    cell_m: float

    @property
    def hidden(self) -> bool:
        """Whether the ground hides the top of the log from the lens."""
        return self.least_m is not None and self.lens_m < self.least_m


def sight_line(log: Log, elevation: Layer, sector: str, hide_m: tuple[float, float]) -> SightLine:
    """Look from the lens to the top of the log.

    Parameters
    ----------
    log : with its top and the height of the lens where it was noted.
    elevation : heights [m].
    sector : side that the hide stands on.
    hide_m : easting and northing of the hide [m].

    Returns
    -------
    SightLine

    Notes
    -----
    With heights z(d) at d from the hide, 0 < d < D, and T the top of the log, the lens must stand at least
    max over d of (z(d) - T d / D) / (1 - d / D) - z(0) above the ground: the lens from which the line to T touches
    the ground at d. Over tens of metres the earth is flat.
    """
    noted = log.tripod_m.get(sector)
    lens_m = float(log_table()["hide"]["lens_height_m"] if noted is None else noted)
    cell_m = elevation.grid.cell_m
    if not (elevation.grid.contains(np.array([hide_m, log.xy_m])).all()):
        return SightLine(lens_m, noted is not None, None, 0.0, cell_m)
    line = profile(elevation, hide_m, log.xy_m, smooth=True, step_m=STEP_M)
    if not np.isfinite(line.values).all():
        return SightLine(lens_m, noted is not None, None, 0.0, cell_m)
    share = line.distance_m[:-1] / line.distance_m[-1]
    top = line.values[-1] + log.top_m
    least = (line.values[:-1] - top * share) / (1 - share) - line.values[0]
    worst = int(np.argmax(least))
    return SightLine(lens_m, noted is not None, max(float(least[worst]), 0.0), float(line.distance_m[worst]), cell_m)
