"""How fast people walk on a slope: every published pace function by name, and the pair a walk needs.

What growth, snow and darkness do to the pace is going.py's business; the coefficients live in data/tables/pace.toml.
"""

import difflib
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.errors import SettingsError
from hushwalk.science.going import snow_speed_factor
from hushwalk.types import FloatArray

Numbers = Mapping[str, float]
Terrain = Literal["on path", "off path"]

KMH = 1 / 3.6  # definition: metres a second in one kilometre an hour


@dataclass(frozen=True, eq=False)
class PaceFunction:
    """One published walking speed by slope, carrying its own citation.

    Parameters
    ----------
    name : the word used in a trip file, such as ``"irmischer_clarke_off_path"``.
    label : how to print it.
    terrain : what the walkers walked on.
    form : which equation the coefficients belong to.
    coefficients : by name, as published.
    source : key of the publication.
    partner : the curve of the same authors for the other terrain, or an empty text.
    """

    name: str
    label: str
    terrain: Terrain
    form: str
    coefficients: Numbers = field(repr=False)
    source: str
    partner: str = ""

    def speed_ms(
        self, slope: ArrayLike, *, density: ArrayLike | None = None, roughness_m: ArrayLike | None = None
    ) -> FloatArray:
        """Give the walking speed.

        Parameters
        ----------
        slope : rise over run in the walking direction, uphill positive [1], any shape.
        density : relative density of growth, 0..1; only for the functions that were fitted with it.
        roughness_m : ground roughness [m]; likewise.

        Returns
        -------
        ndarray
            Speed along the ground plan [m/s], never below 1 mm/s.

        Raises
        ------
        SettingsError
            If density or roughness is given to a function that does not know them.

        Notes
        -----
        The equations stand in data/tables/pace.toml beside their coefficients.

        Examples
        --------
        >>> float(pace_functions()["tobler_on_path"].speed_ms(0.0).round(4))
        1.3991
        """
        given = {"density": density, "roughness_m": roughness_m}
        unknown = [key for key, value in given.items() if value is not None and key not in self.coefficients]
        if unknown:
            raise SettingsError(f"pace function {self.name!r} was not fitted with {unknown[0]}; leave it out")
        grown = {
            key: np.asarray(self.coefficients.get(key, 0.0) if value is None else value, dtype=float)
            for key, value in given.items()
        }
        speed = _FORMS[self.form](self.coefficients, np.asarray(slope, dtype=float), grown)
        return np.asarray(np.maximum(speed, _tables()["slowest_ms"]))

    def seconds_per_metre(self, slope: ArrayLike) -> FloatArray:
        """Pace, the inverse of the speed [s/m]."""
        return 1.0 / self.speed_ms(slope)


def _exponential(c: Numbers, slope: FloatArray, _: Mapping[str, FloatArray]) -> FloatArray:
    gradient = c["stretch"] * slope + c["shift"]
    rate = np.where(gradient < 0, c["rate_down"], c["rate"])
    return np.asarray(c["peak_kmh"] * KMH * np.exp(-rate * np.abs(gradient)))


def _bell(c: Numbers, slope: FloatArray, _: Mapping[str, FloatArray]) -> FloatArray:
    bell = np.exp(-((100 * slope + c["shift_pct"]) ** 2) / (2 * c["width_pct"] ** 2))
    return np.asarray(c["share"] * (c["base_ms"] + c["height_ms"] * bell))


def _bell_angle(c: Numbers, slope: FloatArray, _: Mapping[str, FloatArray]) -> FloatArray:
    return np.asarray(c["peak_kmh"] * KMH * np.exp(-c["rate_per_deg2"] * _degrees(slope) ** 2))


def _quadratic(c: Numbers, slope: FloatArray, _: Mapping[str, FloatArray]) -> FloatArray:
    return np.asarray(1.0 / (c["flat_s_per_m"] + c["linear"] * slope + c["square"] * slope**2))


def _absolute(c: Numbers, slope: FloatArray, _: Mapping[str, FloatArray]) -> FloatArray:
    return np.asarray(1.0 / (c["flat_s_per_m"] + c["linear"] * np.abs(slope)))


def _naismith(c: Numbers, slope: FloatArray, _: Mapping[str, FloatArray]) -> FloatArray:
    theta = _degrees(slope)
    extra = np.select(
        [slope >= 0, theta > -c["gentle_deg"], theta > -c["steep_deg"]],
        [c["up"] * slope, 0.0 * slope, c["down"] * slope],
        -c["down"] * slope,
    )
    return np.asarray(1.0 / (c["flat_s_per_m"] + extra))


def _lorentz(c: Numbers, slope: FloatArray, grown: Mapping[str, FloatArray]) -> FloatArray:
    theta = _degrees(slope)
    peak = c["c"] / (np.pi * c["b"] * (1 + ((theta - c["a"]) / c["b"]) ** 2))
    thick = 1 + c.get("density_k", 0.0) * grown["density"] + c.get("roughness_k", 0.0) * grown["roughness_m"]
    return np.asarray((peak + c["d"] + c["e"] * theta) / thick)


def _transect(c: Numbers, slope: FloatArray, grown: Mapping[str, FloatArray]) -> FloatArray:
    theta = _degrees(slope)
    thick = c["density_k"] * grown["density"] + c["roughness_k"] * grown["roughness_m"]
    return np.asarray(c["flat_ms"] - thick - c["linear"] * theta - c["square"] * theta**2)


def _degrees(slope: FloatArray) -> FloatArray:
    return np.degrees(np.arctan(slope))


_FORMS: dict[str, Callable[[Numbers, FloatArray, Mapping[str, FloatArray]], FloatArray]] = {
    "exponential": _exponential,
    "bell": _bell,
    "bell_angle": _bell_angle,
    "quadratic": _quadratic,
    "absolute": _absolute,
    "naismith": _naismith,
    "lorentz": _lorentz,
    "transect": _transect,
}


@cache
def _tables() -> dict[str, Any]:
    path = files("hushwalk") / "data" / "tables" / "pace.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


@cache
def pace_functions() -> Mapping[str, PaceFunction]:
    """Every published pace function that hushwalk knows.

    Returns
    -------
    mapping
        name -> :class:`PaceFunction`.

    Notes
    -----
    Functions of energy (Minetti, Llobera and Sluckin, critical slope) are left out: they are not times.
    """
    entries: dict[str, dict[str, Any]] = _tables()["functions"]
    return MappingProxyType({name: PaceFunction(name=name, **fields) for name, fields in entries.items()})


@dataclass(frozen=True, eq=False)
class Gait:
    """How one person walks: a curve on trails, a curve off them, and what slows both.

    Parameters
    ----------
    on_path, off_path : the two curves.
    off_path_time_factor : multiplies the time of the off-path curve; above 1 where a trail curve stands in for it.
    time_factor : multiplies all times: the person's own factor and snow.
    climb_factor : multiplies what height adds to the time uphill.
    """

    on_path: PaceFunction
    off_path: PaceFunction
    off_path_time_factor: float = 1.0
    time_factor: float = 1.0
    climb_factor: float = 1.0

    def on_path_seconds_per_metre(self, slope: ArrayLike) -> FloatArray:
        """Pace on trails and roads [s/m] by slope in the walking direction."""
        curve, level = self.on_path.seconds_per_metre(slope), self.on_path.seconds_per_metre(0.0)
        return self._climbed(curve, level, slope) * self.time_factor

    def off_path_seconds_per_metre(self, slope: ArrayLike) -> FloatArray:
        """Pace off trails in ordinary woods [s/m] by slope in the walking direction.

        Notes
        -----
        Never quicker up or down than a published rule for walkers allows on a path: the curves were fitted to walkers
        in a hurry, and keep climbing faster the steeper it is.

        References
        ----------
        din_33466
        """
        curve = self.off_path.seconds_per_metre(slope) * self.off_path_time_factor
        level = self.off_path.seconds_per_metre(0.0) * self.off_path_time_factor
        return self._climbed(np.maximum(curve, steepness_seconds_per_metre(slope)), level, slope) * self.time_factor

    def _climbed(self, seconds: FloatArray, level: FloatArray, slope: ArrayLike) -> FloatArray:
        """Time with the person's own factor on what height adds uphill."""
        adds = (np.asarray(slope) > 0) & (seconds > level)
        return np.asarray(np.where(adds, level + self.climb_factor * (seconds - level), seconds))


def with_own_factors(gait: Gait, off_path: float, climb: float) -> Gait:
    """Give a gait with a person's own factors on the time off paths and on what height adds uphill.

    Parameters
    ----------
    gait : of the published curves.
    off_path, climb : own over published time; the first counts on top of the factor on all times.

    Returns
    -------
    Gait
    """
    return replace(gait, off_path_time_factor=gait.off_path_time_factor * off_path, climb_factor=climb)


def steepness_seconds_per_metre(slope: ArrayLike) -> FloatArray:
    """Time that height alone takes, by slope in the walking direction [s/m].

    Parameters
    ----------
    slope : rise over run, uphill positive [1], any shape.

    Returns
    -------
    ndarray
        Rise over 300 m of climb an hour, fall over 500 m of descent an hour.

    References
    ----------
    din_33466

    Examples
    --------
    >>> steepness_seconds_per_metre([0.25, -0.25, 0.0]).tolist()
    [3.0, 1.8, 0.0]
    """
    table, rise = _tables()["steepness"], np.asarray(slope, dtype=float)
    hour_s = 3600.0
    return np.asarray(np.where(rise > 0, rise / table["up_m_an_hour"], -rise / table["down_m_an_hour"]) * hour_s)


def gait_named(name: str, *, pace_factor: float = 1.0, snow_sinkage_m: float = 0.0) -> Gait:
    """Pair the curve that a person chose with its partner for the other terrain.

    Parameters
    ----------
    name : a key of :func:`pace_functions`.
    pace_factor : the person's own time over the published time; 1.2 takes 20 % longer.
    snow_sinkage_m : how deep a boot sinks [m]; slows trail and woods alike.

    Returns
    -------
    Gait

    Raises
    ------
    SettingsError
        If there is no such function, naming the nearest, or the factor is not positive.

    Notes
    -----
    A trail curve whose authors walked no woods is slowed off the trail by Tobler's blanket 3/5. An off-path curve
    without its own partner takes the one named in the data file.

    References
    ----------
    tobler_1993

    Examples
    --------
    >>> gait = gait_named("irmischer_clarke_off_path")
    >>> gait.on_path.name
    'irmischer_clarke_on_path'
    """
    known = pace_functions()
    if name not in known:
        near = difflib.get_close_matches(name, known, n=1, cutoff=0.3)
        hint = f"did you mean {near[0]!r}? " if near else ""
        raise SettingsError(f"walker.pace {name!r} is no known pace function; {hint}known are {', '.join(known)}")
    if not (np.isfinite(pace_factor) and pace_factor > 0):
        raise SettingsError(f"walker.pace_factor must be above 0, got {pace_factor}")
    chosen = known[name]
    slow = pace_factor / float(snow_speed_factor(snow_sinkage_m))
    if chosen.terrain == "off path":
        return Gait(on_path=known[chosen.partner], off_path=chosen, time_factor=slow)
    if chosen.partner:
        return Gait(on_path=chosen, off_path=known[chosen.partner], time_factor=slow)
    return Gait(
        on_path=chosen, off_path=chosen, off_path_time_factor=1.0 / _tables()["off_path_share"], time_factor=slow
    )


def ford_seconds() -> float:
    """Seconds that wading a stream adds, from the published multiplier of a cell that holds one [s].

    Notes
    -----
    A perennial stream multiplies the time of a 30 m cell by 5; the walk itself is 30 m at the same authors' flat speed
    of 1.149 m/s, and four of the five parts are the ford.

    References
    ----------
    campbell_2024_fire
    """
    ford = _tables()["ford"]
    flat_ms = float(pace_functions()["campbell_2022_symmetric"].speed_ms(0.0))
    return float((ford["factor"] - 1) * ford["cell_m"] / flat_ms)
