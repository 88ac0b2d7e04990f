"""What a person sees on stderr while a command works: each step, the seconds so far, and about how long is left.

The steps themselves are named where the work is done.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from time import monotonic

import click

from hushwalk.compile_cache import VARIABLE, compiles_for_now
from hushwalk.progress import Progress, Step

FOR_NOW = (
    "note: neither the folder of the program nor that of your caches can be written to: what this run compiles the "
    f"next one compiles again; set {VARIABLE} to a folder that can be written to"
)
WORTH_TELLING_S = 3.0  # judgement: less is over before it is read


@contextmanager
def progress_on_stderr(*, shares: bool = False) -> Iterator[Progress]:
    """Give a function that shows each step on stderr, with the seconds so far.

    Where ``shares`` are asked for, one line at the end says how the time was spent. Before the first step, one line
    says so where what is compiled is not kept.
    """
    began = monotonic()
    steps: list[tuple[float, Step]] = []

    def show(step: Step) -> None:
        if not steps and compiles_for_now():
            click.echo(FOR_NOW, err=True)
        steps.append((monotonic() - began, step))
        click.echo(f"[{steps[-1][0]:5.1f} s] {step.words} ...{time_left(step, steps[-1][0])}", err=True)

    yield show
    if shares and steps:
        click.echo(shares_of(steps, monotonic() - began), err=True)


def time_left(step: Step, gone_s: float) -> str:
    """Say about how long a run still takes, at a step whose share of the whole is known; else nothing.

    Parameters
    ----------
    step : that begins.
    gone_s : seconds so far.

    Examples
    --------
    >>> time_left(Step("drawing", done_before=0.9), 45.0)
    ' about 5 s to go'
    """
    share = step.done_before
    left_s = gone_s * (1 - share) / share if share > 0 else 0.0
    return f" about {left_s:.0f} s to go" if left_s >= WORTH_TELLING_S else ""


def shares_of(steps: list[tuple[float, Step]], whole_s: float) -> str:
    """Say in one line how the time was spent, from when each step began [s].

    Examples
    --------
    >>> shares_of([(0.0, Step("reading")), (6.0, Step("choosing stops")), (9.0, Step("drawing"))], 10.0)
    'of 10 s: reading 60 %, choosing stops 30 %, drawing 10 %'
    """
    ends = [start_s for start_s, _ in steps[1:]] + [whole_s]
    spent: dict[str, float] = {}
    for (start_s, step), end in zip(steps, ends, strict=True):
        spent[step.name] = spent.get(step.name, 0.0) + end - start_s
    parts = (f"{name} {100 * took / max(whole_s, 1e-9):.0f} %" for name, took in spent.items())
    return f"of {whole_s:.0f} s: {', '.join(parts)}"
