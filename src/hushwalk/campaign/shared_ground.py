"""A bound of several walks at once: what ground is worth to one of them, where the others may hear it as well.

The bound that rests on plans found is joint_days.py's; the bound of a single walk is the planning room's.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from hushwalk.campaign.joint_days import DayChoice
from hushwalk.morning.morning_problem import MorningProblem
from hushwalk.planning.model.plan import Plan
from hushwalk.planning.model.worth import missed_by
from hushwalk.types import FloatArray

ROUNDS = 8  # judgement: on the demo the bound of three days falls by less than a hundredth from the sixth round on

Look = Callable[[MorningProblem], Plan]
Prove = Callable[[MorningProblem], float]


def shared_bound(choices: Sequence[Sequence[DayChoice]], look: Look, prove: Prove) -> float | None:
    """Males that no walks can exceed, by prices that all walks pay for the same ground.

    Parameters
    ----------
    choices : of each walk, those of its places of the car.
    look : finds a good plan of a problem.
    prove : gives what no plan of a problem can exceed.

    Returns
    -------
    float or None
        None where the walks do not lie on the same targets.

    Notes
    -----
    A male is heard on walk d with h_d, at most h. Of all h_d of the same sum s those that are 0 or h, but for one,
    leave him unheard least, so that he is heard with at most g(s), concave, with the slopes 1, (1 - h), (1 - h)^2 ...
    from one multiple of h to the next. With any of its tangents, ``g(s) <= a + r s``, the sum over males falls apart:
    ``sum a + sum over walks of max sum r h_d``, each a problem of one walk in which ground is worth r of itself.
    Tangents are taken where the mean of the plans found so far lies (frank_wolfe_1956), and averaged. Walks of one day
    meet the same males, which are heard less surely than if each drew anew.
    """
    every = [choice.morning_problem for places in choices for choice in places]
    first = every[0]
    if any(not _same_targets(first, other) for other in every):
        return None
    males = first.problem.mass / first.participation
    most = np.max([_most(one) for one in every], axis=0)
    met = np.zeros(len(males))
    prices, given = [np.ones(len(males))], [np.zeros(len(males))]
    for k in range(ROUNDS):
        heard = np.zeros(len(males))
        for places in choices:
            heard += max((_walked(choice.morning_problem, prices[-1], look) for choice in places), key=_worth)[1]
        met += (heard - met) * 2 / (k + 2)
        price, free = _tangent(met, most)
        prices.append(price)
        given.append(free)
    price, free = (np.mean(rows[ROUNDS // 2 :], axis=0) for rows in (prices, given))
    total = float(males @ free)
    for places in choices:
        total += max(prove(_priced(choice.morning_problem, price)) for choice in places)
    return total


def _same_targets(one: MorningProblem, other: MorningProblem) -> bool:
    alike = np.array_equal(one.targets, other.targets) and np.array_equal(one.level, other.level)
    return (
        alike
        and one.heard.grid == other.heard.grid
        and bool(np.allclose(one.problem.mass / one.participation, other.problem.mass / other.participation))
    )


def _most(of: MorningProblem) -> FloatArray:
    """The most that any walk hears of each target, if it stood at all posts at the best hour, 0..1."""
    chance = of.problem.chance.tocsc()
    missed = np.log1p(-np.minimum(chance.data * float(of.problem.availability.max()), 1 - 1e-12))
    column = np.repeat(np.arange(chance.shape[1]), np.diff(chance.indptr))
    return np.asarray(of.participation * -np.expm1(np.bincount(column, missed, chance.shape[1])))


def _priced(of: MorningProblem, price: FloatArray) -> MorningProblem:
    problem = of.problem
    return replace(of, problem=replace(problem, missed=price if problem.missed is None else problem.missed * price))


def _walked(of: MorningProblem, price: FloatArray, look: Look) -> tuple[float, FloatArray]:
    """What a good plan at these prices is worth, and how surely it hears each target."""
    priced = _priced(of, price)
    plan = look(priced)
    return plan.worth, of.participation * (1 - missed_by(of.problem, plan))


def _worth(walked: tuple[float, FloatArray]) -> float:
    return walked[0]


def _tangent(met: FloatArray, most: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Slope and height at 0 of the tangent of g at a sum, each shape (m,)."""
    steps = np.floor(np.divide(met, most, out=np.zeros_like(met), where=most > 0) + 1e-9)
    slope = (1 - most) ** steps
    return slope, 1 - slope * (1 + steps * most)
