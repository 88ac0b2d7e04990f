"""How the innermost loops of the proof are compiled: without counting who holds an array, which took half their time.

Such a function makes no array, neither new nor as a part of another.
"""

from collections.abc import Callable
from typing import Any, TypeVar, cast

from numba import njit

Function = TypeVar("Function", bound=Callable[..., Any])
UNCOUNTED: dict[str, Any] = {"_nrt": False}


def without_reference_counts(function: Function) -> Function:
    """Compile a function that makes no array."""
    return cast("Function", njit(cache=True, nogil=True, **UNCOUNTED)(function))


def inlined(function: Function) -> Function:
    """Compile a function that makes no array into each place that calls it."""
    return cast("Function", njit(cache=True, nogil=True, forceinline=True, **UNCOUNTED)(function))
