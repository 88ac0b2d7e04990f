"""What several commands share: the trip argument, the layers option, and words while one waits.

The commands themselves are in their own files.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from hushwalk.site.settings import TripSettings

TRIP = click.argument("trip", type=click.Path(path_type=Path))
WORTH_TELLING_S = 3.0  # judgement: less is over before it is read
DONE_BEFORE = {
    "working out how quickly": 0.1,
    "working out what is heard": 0.15,
    "choosing stops": 0.45,
    "comparing with": 0.75,
    "drawing": 0.9,
}
"""Share of a plan's time that has gone when a step begins: judgement, as measured on the demo, and good to a factor."""
LAYERS = click.option(
    "--layers",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    help="Folder that the layer paths of the trip file start at [the trip file's own].",
)


def trip_file_of(trip: Path) -> Path:
    """Give the trip file where only its folder was typed."""
    return trip / "trip.toml" if trip.is_dir() else trip


def settings_of(trip: Path, layers: Path | None) -> "TripSettings":
    """Read the trip file, and let layer paths start at another folder if one is given."""
    from hushwalk.site.trip_file import read_trip

    settings = read_trip(trip)
    return settings if layers is None else replace(settings, folder=layers.resolve())


@contextmanager
def tell_on_stderr(*, shares: bool = False) -> Iterator[Callable[[str], None]]:
    """Give a function that tells on stderr what is being done, with the seconds so far.

    Where ``shares`` are asked for, one line at the end says how the time was spent.
    """
    began = monotonic()
    steps: list[tuple[float, str]] = []

    def tell(words: str) -> None:
        steps.append((monotonic() - began, words))
        click.echo(f"[{steps[-1][0]:5.1f} s] {words} ...{time_left(words, steps[-1][0])}", err=True)

    yield tell
    if shares and steps:
        click.echo(shares_of(steps, monotonic() - began), err=True)


def time_left(words: str, gone_s: float) -> str:
    """Tell about how long a plan still takes, at a step whose share of the whole is known; else nothing.

    Parameters
    ----------
    words : with which the step begins.
    gone_s : seconds so far.

    Examples
    --------
    >>> time_left("drawing", 45.0)
    ' about 5 s to go'
    """
    share = next((share for step, share in DONE_BEFORE.items() if words.startswith(step)), 0.0)
    left_s = gone_s * (1 - share) / share if share > 0 else 0.0
    return f" about {left_s:.0f} s to go" if left_s >= WORTH_TELLING_S else ""


def shares_of(steps: list[tuple[float, str]], whole_s: float) -> str:
    """Say in one line how the time was spent, from when each step began [s].

    Examples
    --------
    >>> shares_of([(0.0, "reading"), (6.0, "choosing stops"), (9.0, "drawing")], 10.0)
    'of 10 s: reading 60 %, choosing stops 30 %, drawing 10 %'
    """
    ends = [begun for begun, _ in steps[1:]] + [whole_s]
    spent: dict[str, float] = {}
    for (begun, words), end in zip(steps, ends, strict=True):
        name = words.split(",")[0]
        spent[name] = spent.get(name, 0.0) + end - begun
    told = (f"{name} {100 * took / max(whole_s, 1e-9):.0f} %" for name, took in spent.items())
    return f"of {whole_s:.0f} s: {', '.join(told)}"
