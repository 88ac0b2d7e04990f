"""The skyline round a log: ridges from a grid of heights on a round earth, and the trees that a person measured.

When the sun stands above it is sky_day.py's business.
"""

import math
from dataclasses import dataclass, field

import numpy as np
from numba import njit

from hushwalk.errors import PlaceError, SettingsError
from hushwalk.grid.layer import Layer
from hushwalk.grid.points import convergence_deg
from hushwalk.grid.profile import bilinear, cell_places
from hushwalk.science.horizon import REFRACTION_K, angle_at, curvature_drop_m, measured_skyline_deg
from hushwalk.types import BoolArray, FloatArray

NEAR_CELLS = 25.0  # judgement: crests nearer than this are sampled twice as finely


@dataclass(frozen=True)
class SkylineParams:
    """How a skyline is looked for.

    Parameters
    ----------
    eye_m : height above the ground of what the sun shall reach: a bird on a low log [m].
    reach_m : how far ridges are looked for [m].
    azimuths : how many directions, evenly spread from true north.
    refraction_k : curvature of sight lines over that of the earth; 1 makes the earth flat.
    """

    eye_m: float = 0.6
    reach_m: float = 20_000.0
    azimuths: int = 360
    refraction_k: float = REFRACTION_K

    def __post_init__(self) -> None:
        if not (self.eye_m >= 0 and self.reach_m > 0 and self.azimuths >= 8 and self.refraction_k <= 1):  # noqa: PLR2004
            raise SettingsError(
                "a skyline needs eye_m of 0 or more, reach_m above 0, at least 8 azimuths and refraction_k up to 1, "
                f"got {self.eye_m}, {self.reach_m}, {self.azimuths}, {self.refraction_k}"
            )


@dataclass(frozen=True, eq=False)
class Skyline:
    """Angles above the level at equal steps of azimuth from true north.

    Parameters
    ----------
    terrain_deg : of the ridges, shape (n,) [deg].
    trees_deg : as measured, minus infinity where nothing was measured, shape (n,) [deg].
    coverage_m : how far the heights were known without a gap, shape (n,) [m].
    reach_m : how far was looked [m].
    """

    terrain_deg: FloatArray = field(repr=False)
    trees_deg: FloatArray = field(repr=False)
    coverage_m: FloatArray = field(repr=False)
    reach_m: float

    @property
    def azimuth_deg(self) -> FloatArray:
        """Azimuths of the values [deg]."""
        return np.arange(len(self.terrain_deg)) * 360.0 / len(self.terrain_deg)

    @property
    def angle_deg(self) -> FloatArray:
        """Ridges and trees joined: the higher of the two [deg]."""
        return np.maximum(self.terrain_deg, self.trees_deg)

    def terrain_at(self, azimuth_deg: FloatArray) -> FloatArray:
        """Angle of the ridges, shape (...) [deg]."""
        return angle_at(azimuth_deg, self.terrain_deg)

    def trees_at(self, azimuth_deg: FloatArray) -> FloatArray:
        """Angle of the trees; -90 where nothing was measured, shape (...) [deg]."""
        return angle_at(azimuth_deg, np.maximum(self.trees_deg, -90.0))

    @property
    def short(self) -> BoolArray:
        """Where the heights end before the reach, shape (n,)."""
        return np.asarray(self.coverage_m < 0.99 * self.reach_m)

    @property
    def measured(self) -> bool:
        """Whether a skyline was measured at the log."""
        return bool(np.isfinite(self.trees_deg).any())


def skyline_at(
    elevation: Layer,
    xy_m: tuple[float, float],
    measured_deg: FloatArray | None = None,
    params: SkylineParams | None = None,
    far: Layer | None = None,
) -> Skyline:
    """Look round from a log.

    Parameters
    ----------
    elevation : heights [m].
    xy_m : easting and northing of the log [m].
    measured_deg : azimuth from true north and angle of the points of a measured skyline, shape (k, 2) [deg].
    params : eye, reach and fineness.
    far : coarser heights of wider ground in the same system, read from where ``elevation`` ends [m].

    Returns
    -------
    Skyline

    Raises
    ------
    PlaceError
        If the log lies off the heights or where they are unknown.
    SettingsError
        If a measured point cannot be.

    Notes
    -----
    For each azimuth the largest atan2(z(d) - z_eye - d^2 (1 - k) / (2 R), d). The surface between cell centres is
    bilinear and is read every quarter cell near the log, every half cell beyond, from one cell off. A crest narrower
    than a cell is smoothed by the grid itself. Grid north is turned to true north at the log.

    References
    ----------
    dozier_frew_1990, steger_2022, surveying_refraction
    """
    params = params or SkylineParams()
    elevation.grid.cell_at(xy_m, "the log")
    here = float(bilinear(elevation, np.array([xy_m]))[0])
    if not np.isfinite(here):
        raise PlaceError(
            f"the log at E {xy_m[0]:.0f} N {xy_m[1]:.0f} lies where the elevation layer has no heights; "
            "move it, or give a layer that covers it"
        )
    azimuths = np.arange(params.azimuths) * 360.0 / params.azimuths
    bearings = azimuths - float(convergence_deg(elevation.grid.epsg, np.asarray(xy_m)))
    tallest, coverage = _look(elevation, xy_m, here + params.eye_m, bearings, params, np.zeros(len(bearings)))
    if far is not None:
        beyond, reached = _look(far, xy_m, here + params.eye_m, bearings, params, coverage)
        tallest, coverage = np.fmax(tallest, beyond), np.maximum(coverage, reached)
    trees = measured_skyline_deg(azimuths, np.zeros((0, 2)) if measured_deg is None else measured_deg)
    return Skyline(np.degrees(np.arctan(tallest)), trees, coverage, params.reach_m)


def _look(
    layer: Layer,
    xy_m: tuple[float, float],
    eye_m: float,
    bearings: FloatArray,
    params: SkylineParams,
    begins: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """March over one layer from where each ray begins; the eye is given as a height above the sea [m]."""
    rows, cols = cell_places(layer.grid, np.array([xy_m]))
    start = (float(rows[0]), float(cols[0]), eye_m)
    bend = float(curvature_drop_m(1.0, params.refraction_k))  # it grows with the square of the distance
    rise, known_m = _march(
        layer.values, start, np.radians(bearings), layer.grid.cell_m, params.reach_m, bend, np.ascontiguousarray(begins)
    )
    return rise, known_m


@njit(cache=True, nogil=True, error_model="numpy")
def _march(z, start, bearings, cell_m, reach_m, bend, begins):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202  # pragma: no cover  compiled
    """Largest rise over run along each bearing, and how far the heights are known without a gap."""
    n_rows, n_cols = z.shape
    row, col, eye = start
    tallest, coverage = np.full(bearings.size, -np.inf), np.full(bearings.size, reach_m)
    for k in range(bearings.size):
        down, right = -math.cos(bearings[k]) / cell_m, math.sin(bearings[k]) / cell_m
        best, d, whole = -np.inf, max(cell_m, begins[k]), True
        while d <= reach_m:
            r, c = row + down * d, col + right * d
            if r < 0.0 or c < 0.0 or r > n_rows - 1.0 or c > n_cols - 1.0:
                if whole:
                    coverage[k] = max(d - cell_m, 0.0)
                break
            i, j = min(int(r), n_rows - 2), min(int(c), n_cols - 2)
            a, b = r - i, c - j
            upper = z[i, j] + b * (z[i, j + 1] - z[i, j])
            lower = z[i + 1, j] + b * (z[i + 1, j + 1] - z[i + 1, j])
            rise = (upper + a * (lower - upper) - eye - bend * d * d) / d
            if rise > best:
                best = rise
            elif rise != rise and whole:  # noqa: PLR0124 - NaN: beside unknown heights
                coverage[k], whole = max(d - cell_m, 0.0), False
            d += cell_m * (0.25 if d < NEAR_CELLS * cell_m else 0.5)
        tallest[k] = best
    return tallest, coverage


def sky_view(skyline: Skyline, slope_deg: float = 0.0, aspect_deg: float = 0.0) -> float:
    """Share of the light of an even sky that the ground gets past the ridges, 0..1.

    Parameters
    ----------
    skyline : round the place.
    slope_deg, aspect_deg : of the ground: how steep, and which way it falls from true north [deg].

    Returns
    -------
    float

    Notes
    -----
    The mean over all azimuths p of cos S sin^2 H + sin S cos(p - A) (H - sin H cos H), H the angle of the ridge from
    the zenith; on level ground the mean of cos^2 of the angle of the ridge.

    References
    ----------
    dozier_frew_1990
    """
    zenith = np.pi / 2 - np.radians(np.maximum(skyline.terrain_deg, 0.0))
    steep, off = np.radians(slope_deg), np.radians(skyline.azimuth_deg - aspect_deg)
    part = np.cos(steep) * np.sin(zenith) ** 2
    part += np.sin(steep) * np.cos(off) * (zenith - np.sin(zenith) * np.cos(zenith))
    return float(np.mean(part))
