"""Arithmetic of layers on one grid: sums and products as layers with their unit, comparisons as masks.

What a layer is stands in layer.py.
"""

import re
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.lib.mixins import NDArrayOperatorsMixin
from numpy.typing import NDArray

from hushwalk.errors import GridMismatchError, InputError
from hushwalk.grid.grid import Grid
from hushwalk.types import FloatArray

NO_UNIT, CODES = "1", "class"  # definition: of fractions, and of codes that stand for kinds
FACTOR = re.compile(r"([^\d\s/.*^-]+)\^?(-?\d+)?")
"""Definition: a symbol and its power in a unit, such as ``km2``, ``km^2`` or ``s-1``."""
SIGNS: dict[np.ufunc, str] = {
    np.add: "+",
    np.subtract: "-",
    np.multiply: "*",
    np.divide: "/",
    np.power: "**",
    np.negative: "-",
    np.absolute: "absolute",
    np.sqrt: "sqrt",
    np.minimum: "minimum",
    np.maximum: "maximum",
}
"""Definition: what is arithmetic here, and how it is written; of any other function numpy gives a bare array."""
COMPARED: dict[np.ufunc, str] = {
    np.less: "<",
    np.less_equal: "<=",
    np.greater: ">",
    np.greater_equal: ">=",
    np.equal: "==",
    np.not_equal: "!=",
}
"""Definition: what gives a mask."""
ALIKE = (np.add, np.subtract, np.minimum, np.maximum, *COMPARED)


class LayerArithmetic(NDArrayOperatorsMixin):
    """Operators of a layer; numbers and bare arrays count as given in its unit, in products as without one.

    Raises
    ------
    GridMismatchError
        If two layers lie on different grids, or an array has another shape than the grid.
    InputError
        If units do not go together.
    """

    name: str
    unit: str
    grid: Grid
    values: FloatArray
    with_values: Callable[..., Any]
    checked_against: Callable[..., Any]

    __hash__ = object.__hash__  # a layer stays a key by what it is, though == compares its cells

    def __array_ufunc__(self, ufunc: np.ufunc, method: str, *inputs: Any, **more: Any) -> Any:  # noqa: ANN401
        """Let numpy work cell by cell."""
        if any(target is not self for target in more.get("out", ())):
            return NotImplemented
        more.pop("out", None)  # a layer never changes: ``layer *= 2`` gives a new one
        for one in inputs:
            self._fits(one)
        values = [one.values if isinstance(one, LayerArithmetic) else one for one in inputs]
        if method != "__call__" or (ufunc not in SIGNS and ufunc not in COMPARED):
            return getattr(ufunc, method)(*values, **more)
        if ufunc in COMPARED:
            _check_units(ufunc, inputs)
            return _mask(ufunc, values)
        unit = _unit_of(ufunc, inputs)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            found = np.asarray(ufunc(*values, **more), dtype=np.float64)
        name = _written(ufunc, inputs)
        return self.with_values(np.where(np.isfinite(found), found, np.nan), name=name, unit=unit, step=f"is {name}")

    def where(self, mask: NDArray[np.bool_]) -> Any:  # noqa: ANN401 - a layer, which layer.py makes of this
        """Give the layer where a mask holds, unknown elsewhere; shape of the mask that of the grid."""
        self._fits(mask)
        return self.with_values(np.where(mask, self.values, np.nan), step="known where a mask holds only")

    def _fits(self, other: Any) -> None:  # noqa: ANN401 - whatever numpy takes
        if isinstance(other, LayerArithmetic):
            self.checked_against(other)
        elif np.ndim(other) and np.shape(other) != self.grid.shape:
            raise GridMismatchError(
                f"an array of {np.shape(other)} values does not fit layer {self.name!r} with its grid of "
                f"{self.grid.shape} cells; give one value a cell, or a single number"
            )


def unit_product(units: Sequence[tuple[str, int]]) -> str:
    """Give the unit of a product, each unit with its power; symbols are multiplied as they stand, without conversion.

    Examples
    --------
    >>> unit_product([("1/km2", 1), ("km2", 1)]), unit_product([("m", 1), ("s", -1)]), unit_product([("m", 2)])
    ('1', 'm/s', 'm2')
    """
    powers: dict[str, int] = {}
    for unit, times in units:
        for k, part in enumerate(unit.split("/")):
            for symbol, power in FACTOR.findall(part):
                powers[symbol] = powers.get(symbol, 0) + times * (-1 if k else 1) * int(power or 1)
    above = [_power(symbol, power) for symbol, power in powers.items() if power > 0]
    below = [_power(symbol, -power) for symbol, power in powers.items() if power < 0]
    return "/".join([" ".join(above) or NO_UNIT, *below])


def _power(symbol: str, power: int) -> str:
    return symbol if power == 1 else f"{symbol}{power}"


def _unit_of(ufunc: np.ufunc, inputs: Sequence[Any]) -> str:
    units = [one.unit if isinstance(one, LayerArithmetic) else None for one in inputs]
    if CODES in units:
        raise InputError(
            f"{_written(ufunc, inputs)}: the layer holds codes of kinds, which cannot be reckoned with; compare it, as "
            "in layer == 41"
        )
    known = [unit for unit in units if unit is not None]
    if ufunc in ALIKE:
        _check_units(ufunc, inputs)
        return str(known[0])
    if ufunc is np.power:
        return _unit_of_power(inputs)
    if ufunc is np.sqrt:
        return _root(known[0], inputs)
    second = -1 if ufunc is np.divide else 1
    return unit_product([(unit or NO_UNIT, power) for unit, power in zip(units, (1, second), strict=False)])


def _unit_of_power(inputs: Sequence[Any]) -> str:
    base, power = inputs
    unit = getattr(base, "unit", NO_UNIT)
    if getattr(power, "unit", NO_UNIT) != NO_UNIT:
        raise InputError(f"{_written(np.power, inputs)}: a power has no unit; divide it by one of its unit first")
    if unit == NO_UNIT:
        return NO_UNIT
    if np.ndim(power) or isinstance(power, LayerArithmetic) or float(power) != int(power):
        raise InputError(
            f"{_written(np.power, inputs)}: a layer in {unit} takes whole numbers as power, for the unit's sake"
        )
    return unit_product([(unit, int(power))])


def _root(unit: str, inputs: Sequence[Any]) -> str:
    powers = [int(power or 1) for _, power in FACTOR.findall(unit)]
    if any(power % 2 for power in powers):
        raise InputError(f"{_written(np.sqrt, inputs)}: {unit} has no square root")
    return unit_product([(FACTOR.sub(lambda one: f"{one[1]}{int(one[2]) // 2}", unit), 1)])


def _check_units(ufunc: np.ufunc, inputs: Sequence[Any]) -> None:
    layers = [one for one in inputs if isinstance(one, LayerArithmetic)]
    if len({one.unit for one in layers}) > 1:
        both = " and ".join(f"{one.name!r} in {one.unit}" for one in layers)
        raise InputError(f"layers {both} do not go together in {_written(ufunc, inputs)}; bring them to one unit first")


def _mask(ufunc: np.ufunc, values: Sequence[Any]) -> NDArray[np.bool_]:
    """Compare cell by cell; False wherever a value is unknown."""
    with np.errstate(invalid="ignore"):
        known: NDArray[np.bool_] = np.asarray(ufunc(*values), dtype=bool)
        for one in values:
            known = known & np.isfinite(np.asarray(one, dtype=float))
    return known


def _written(ufunc: np.ufunc, inputs: Sequence[Any]) -> str:
    words = [_operand(one) for one in inputs]
    sign = SIGNS.get(ufunc) or COMPARED[ufunc]
    if sign.isalpha():
        return f"{sign}({', '.join(words)})"
    return f"{words[0]} {sign} {words[1]}" if len(words) > 1 else f"{sign}{words[0]}"


def _operand(one: Any) -> str:  # noqa: ANN401 - whatever numpy takes
    if isinstance(one, LayerArithmetic):
        return f"({one.name})" if " " in one.name else one.name
    return "array" if np.ndim(one) else f"{one:g}"
