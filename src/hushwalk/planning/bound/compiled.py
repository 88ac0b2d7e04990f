"""How the innermost loops of the proof are compiled: without counting who holds an array, which took half their time.

Such a function makes no array, neither new nor as a part of another.
"""

from collections.abc import Callable
from typing import Any, TypeVar, cast

from numba import njit

Function = TypeVar("Function", bound=Callable[..., Any])


def uncounted_options() -> dict[str, Any]:
    """Give numba's switch for it where this numba has one; without it the proof takes about a third longer."""
    try:
        from numba.core.options import DefaultOptions  # noqa: PLC0415 - not part of numba's documented face
    except ImportError:
        return {}
    return {"_nrt": False} if hasattr(DefaultOptions, "_nrt") else {}


UNCOUNTED = uncounted_options()


def without_reference_counts(function: Function) -> Function:
    """Compile a function that makes no array."""
    return cast("Function", njit(cache=True, nogil=True, **UNCOUNTED)(function))


def inlined(function: Function) -> Function:
    """Compile a function that makes no array into each place that calls it."""
    return cast("Function", njit(cache=True, nogil=True, forceinline=True, **UNCOUNTED)(function))
