"""Opens a trip in Python, from its file or from settings, and solves plain orienteering for whoever needs no trip.

What an opened trip answers is trip.py's business.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.api.trip import Trip
from hushwalk.planning.model.plan import Result
from hushwalk.planning.model.problem import orienteering_problem
from hushwalk.planning.solve import SolveParams, solve
from hushwalk.site.settings import TripSettings
from hushwalk.site.site import read_site
from hushwalk.site.trip_file import read_trip, whole_trip


def open_trip(trip: str | Path | TripSettings, layers: str | Path | None = None) -> Trip:
    """Open a trip: read its settings, lay its layers on one grid, and score the ground.

    Parameters
    ----------
    trip : a trip file, the folder it lies in, or settings made in Python, whose paths start at their ``folder``.
    layers : folder that layer paths start at; None for that of the trip file.

    Returns
    -------
    Trip
        With everything on the metric grid of the trip.

    Raises
    ------
    MissingFileError
        If a file that is named is not there.
    SettingsError, InputError, PlaceError
        If the settings or a layer cannot be used; all are HushwalkError, and each says what to mend.
    """
    if isinstance(trip, TripSettings):
        file, settings = None, whole_trip(trip)
    else:
        file = Path(trip) / "trip.toml" if Path(trip).is_dir() else Path(trip)
        settings = read_trip(file)
    if layers is not None:
        settings = replace(settings, folder=Path(layers).resolve())
    return Trip(settings, read_site(settings), file)


def orienteering(
    times: ArrayLike,
    scores: ArrayLike,
    budget: float,
    *,
    start: int = 0,
    end: int | None = None,
    seconds: float | None = 2.0,
    steps: int | None = None,
    proof_s: float = 2.0,
    seed: int = 1,
) -> Result:
    """Solve the orienteering problem: the walk within a budget of time that collects the highest score.

    Parameters
    ----------
    times : shape (n, n), from place to place, in any unit; they need not be the same both ways.
    scores : shape (n,), 0 or more, of each place; those of ``start`` and ``end`` count.
    budget : the most time, in the unit of ``times``.
    start, end : index of the first and the last place; ``end`` is ``start`` if not given.
    seconds : of search; None to search ``steps`` instead, which gives the same walk each time [s].
    steps : of search.
    proof_s : seconds for the bound that no walk exceeds; 0 asks for none [s].
    seed : of all chance.

    Returns
    -------
    Result
        ``plan.posts`` in walking order, without start and end; ``plan.worth``; ``certificate.bound`` and
        ``certificate.gap``. An interrupt (Ctrl-C) gives the best so far, and ``stopped`` says so.

    Raises
    ------
    InputError
        If anything does not fit, naming the field.
    NoPlanError
        If no walk from start to end keeps the budget.
    SettingsError
        If a limit cannot be.

    References
    ----------
    golden_levy_vohra_1987

    Examples
    --------
    >>> from hushwalk import orienteering
    >>> walk = orienteering([[0, 3, 4], [3, 0, 5], [4, 5, 0]], [0, 5, 7], 8, steps=100)
    >>> walk.plan.posts, walk.plan.worth
    ((2,), 7.0)
    """
    problem = orienteering_problem(times, scores, budget, start, start if end is None else end)
    params = SolveParams(None if steps else seconds, steps, proof_s, keeps_best=True)
    return solve(problem, params, np.random.default_rng(seed))
