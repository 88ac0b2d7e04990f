"""How far the number of males moves when each assumption moves: the bars of a tornado chart.

Drawing the chart is the outputs room's business.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from hushwalk.grid.layer import Layer
from hushwalk.habitat.density import DensityParams, density
from hushwalk.habitat.needs import Need
from hushwalk.habitat.suitability import SurfaceParams, suitability
from hushwalk.types import FloatArray

FLOOR_STEP = 0.2  # judgement: a floor of 0.5 is as likely 0.3 or 0.7
HOME_FACTOR = 1.73  # judgement: activity centres of 4 to 12 ha are published, a factor of 3 in area


@dataclass(frozen=True)
class Swing:
    """What one assumption does to the number of males on all the ground.

    Parameters
    ----------
    label : of the assumption.
    at_low, at_high : what it was moved to, in words.
    males_low, males_high : males at either end; the lower end of the assumption need not give fewer.
    males : with everything as the card has it.
    source : where the card's own value comes from.
    assumed : whether no source supports it.
    """

    label: str
    at_low: str
    at_high: str
    males_low: float
    males_high: float
    males: float
    source: str
    assumed: bool

    @property
    def span(self) -> float:
        """Difference between the ends."""
        return abs(self.males_high - self.males_low)


def swings(
    needs: Sequence[Need],
    ingredients: Mapping[str, Layer],
    surface: SurfaceParams,
    males: DensityParams,
    unclassed: FloatArray | None = None,
) -> tuple[Swing, ...]:
    """Move every assumption to its low and its high end, one at a time.

    Parameters
    ----------
    needs, ingredients, surface, unclassed : as for :func:`hushwalk.habitat.suitability.suitability`.
    males : as for :func:`hushwalk.habitat.density.density`.

    Returns
    -------
    tuple of Swing
        The widest first.

    Raises
    ------
    InputError
        As :func:`hushwalk.habitat.suitability.suitability`.

    Notes
    -----
    Region and year move by one standard deviation of their logarithm, the floor by 0.2, the home range between the
    published 4 and 12 ha, the weight of each need between nothing and twice its value.
    """

    def count(these: Sequence[Need] = needs, params: SurfaceParams = surface, holds: DensityParams = males) -> float:
        return density(suitability(these, ingredients, params, unclassed=unclassed).layer, holds).males()[1]

    middle = count()
    moved = [
        *_of_density(males, middle),
        _of_floor(surface, middle, count),
        _of_home(surface, middle, count),
        *(_of_need(needs, need, middle, count) for need in needs if need.key in ingredients and need.weight > 0),
    ]
    return tuple(sorted(moved, key=lambda swing: -swing.span))


def _of_density(males: DensityParams, middle: float) -> list[Swing]:
    found = []
    for label, factor, log_sd, source in (
        ("what the region holds", males.region_factor, males.region_log_sd, 1),
        ("year of the cycle", males.cycle_factor, males.cycle_log_sd, 2),
    ):
        by = float(np.exp(log_sd))
        source_key = males.sources[source] if len(males.sources) > source else "definition"
        ends = (f"x {factor / by:.2f}", f"x {factor * by:.2f}")
        found.append(Swing(label, *ends, middle / by, middle * by, middle, source_key, assumed=True))
    return found


def _of_floor(surface: SurfaceParams, middle: float, count: Callable[..., float]) -> Swing:
    low, high = max(0.0, surface.floor - FLOOR_STEP), min(1.0, surface.floor + FLOOR_STEP)
    males_low, males_high = (count(params=replace(surface, floor=floor)) for floor in (low, high))
    source = "judgement: what good ground in poor surroundings keeps"
    return Swing(
        "floor of the surroundings", f"{low:.1f}", f"{high:.1f}", males_low, males_high, middle, source, assumed=True
    )


def _of_home(surface: SurfaceParams, middle: float, count: Callable[..., float]) -> Swing:
    low, high = surface.home_radius_m, surface.home_radius_m * HOME_FACTOR
    males_low, males_high = (count(params=replace(surface, home_radius_m=radius)) for radius in (low, high))
    source = "judgement: activity centres of 4 to 12 ha are published"
    return Swing(
        "radius of a home range",
        f"{low:.0f} m",
        f"{high:.0f} m",
        males_low,
        males_high,
        middle,
        source,
        assumed=False,
    )


def _of_need(needs: Sequence[Need], need: Need, middle: float, count: Callable[..., float]) -> Swing:
    def weighed(factor: float) -> list[Need]:
        return [replace(n, weight=n.weight * factor) if n.key == need.key else n for n in needs]

    high = f"weight {2 * need.weight:g}"
    return Swing(
        need.label,
        "weight 0",
        high,
        count(weighed(0.0)),
        count(weighed(2.0)),
        middle,
        need.source,
        assumed=need.assumed,
    )
