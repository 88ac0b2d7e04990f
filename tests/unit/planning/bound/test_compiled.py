"""The private switch of numba is used where it is and done without where it is not; the numbers are the same."""

import numpy as np
import pytest
from numba.core import options

from hushwalk.planning.bound import compiled


def double(values):
    for k in range(values.size):
        values[k] *= 2.0
    return values.size


def test_this_numba_has_the_switch() -> None:
    assert compiled.uncounted_options() == {"_nrt": False}


def test_without_the_switch_functions_compile_as_usual(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(options.DefaultOptions, "_nrt")
    assert compiled.uncounted_options() == {}
    monkeypatch.setattr(compiled, "UNCOUNTED", compiled.uncounted_options())
    monkeypatch.undo()
    for wrap in (compiled.without_reference_counts, compiled.inlined):
        values = np.arange(3.0)
        assert wrap(double)(values) == 3
        assert values.tolist() == [0.0, 2.0, 4.0]


@pytest.mark.parametrize("switch", [{}, {"_nrt": False}], ids=["without", "with"])
def test_both_ways_give_the_same_numbers(switch: dict[str, bool], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(compiled, "UNCOUNTED", switch)
    values = np.arange(4.0)
    compiled.without_reference_counts(double)(values)
    assert values.tolist() == [0.0, 2.0, 4.0, 6.0]
