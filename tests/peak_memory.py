"""The most memory that a piece of a test takes, apart from what the tests before it in the same process took."""

import resource
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

PROCESS = Path("/proc/self")
RESET_PEAK = "5"
"""What proc_pid_clear_refs(5) of the Linux manual asks to be written so that the peak starts again from now."""


@dataclass(slots=True)
class Taken:
    """Memory that was taken above what was held before [MB], known once the block has ended."""

    mb: float = float("nan")


def _held_mb(row: str) -> float:
    """One row of the status of this process [MB]: VmRSS what is held now, VmHWM the most so far."""
    lines = (PROCESS / "status").read_text().splitlines()
    return next(float(line.split()[1]) / 1024 for line in lines if line.startswith(f"{row}:"))


@contextmanager
def memory_taken() -> Iterator[Taken]:
    """Where the kernel tells no peak of its own, the growth of the largest size so far, which is less strict."""
    taken = Taken()
    if (PROCESS / "clear_refs").exists():
        (PROCESS / "clear_refs").write_text(RESET_PEAK)
        before_mb = _held_mb("VmRSS")
        yield taken
        taken.mb = _held_mb("VmHWM") - before_mb
        return
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    yield taken
    taken.mb = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
