"""Where to stand for the next bearing of each bird: reachable on foot, never near to where a bird may be.

next_bearing.py says how much a bearing is worth; site/walk_network.py gives the walk graph.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from hushwalk.birds.association import MaybeOne
from hushwalk.birds.fix import Fix
from hushwalk.birds.morning_fixes import MorningFixes
from hushwalk.birds.next_bearing import ClearOfBirds, Stand, StandParams, next_stands
from hushwalk.birds.one_or_two import DecidingStand, deciding_stand
from hushwalk.errors import PlaceError
from hushwalk.grid.layer import Layer
from hushwalk.grid.points import parse_place
from hushwalk.notes.bearing import metres_of
from hushwalk.notes.notebook import Notebook
from hushwalk.site.site import Site
from hushwalk.site.walk_network import WalkNetwork
from hushwalk.types import FloatArray

CANDIDATES_MAX = 90  # judgement: places some 60 to 100 m apart; the worth changes little between them
ROUGH_PLACES, ROUGH_CELLS, SHORT_LIST = 6, 1200, 8  # judgement: a rough look keeps the best place among eight
FAR_OF_EARSHOT = 1.5  # judgement: beyond one and a half times earshot a bird is rarely heard


class WhyNoStand(Enum):
    """Why there is no place for a further bearing."""

    OUT_OF_REACH = "no place within earshot is reached on foot in time"
    NEAR_OR_USELESS = "every place is too near to a bird, or would not shrink the ground"


@dataclass(frozen=True)
class NoStand:
    """Why there is no stand: the reason, the longest walk [min] and the stand-off [m] that decided it."""

    reason: WhyNoStand
    within_min: float
    stand_off_m: float


@dataclass(frozen=True)
class StartPlace:
    """Where one stands now: its name, and the place [m]."""

    name: str
    xy_m: tuple[float, float]


def start_place(book: Notebook, site: Site, fixed: MorningFixes, said: str | None) -> StartPlace:
    """Find where one stands.

    Parameters
    ----------
    book, site : of the trip.
    fixed : of the morning.
    said : name of a stop of that morning or of the plan, ``"CAR"``, or a place as text; None for the last stop noted.

    Returns
    -------
    StartPlace
        Its name, and the place on the grid of the trip [m].

    Raises
    ------
    PlaceError
        If it is none of these, or lies off the ground of the trip.
    """
    noted = {where.stop.upper(): where.xy_m for where in fixed.listening if where.stop}
    planned = {name.upper(): metres_of(place, site.grid.epsg) for name, place in book.on(fixed.notes.day).stops.items()}
    known: Mapping[str, tuple[float, float]] = {**planned, **noted, "CAR": site.car.xy_m}
    if said is None:
        last = max(fixed.notes.bearing_rows, key=lambda row: row.note.at).note
        name = getattr(last, "stop", "") or "the last bearing"
        place = metres_of(last.place, site.grid.epsg) if last.place else site.car.xy_m
    elif said.strip().upper() in known:
        name, place = said.strip().upper(), known[said.strip().upper()]
    else:
        try:
            name, place = "there", metres_of(parse_place(said), site.grid.epsg)
        except PlaceError as fault:
            raise PlaceError(f"{said!r} is no stop of the notes or the plan ({', '.join(known)}); {fault}") from None
    site.grid.cell_at(np.array(place), f"--from {said or name}")
    return StartPlace(name, place)


def best_stands(
    way: WalkNetwork, fixed: MorningFixes, here: StartPlace, within_min: float, params: StandParams
) -> dict[str, Stand | NoStand]:
    """Find the next best bearing of every bird.

    Parameters
    ----------
    way, fixed : of the trip and the morning.
    here : where one stands.
    within_min : longest walk to a stand [min].
    params : stand-off, error of the person's usual bearing, earshot.

    Returns
    -------
    dict
        By name of the bird the stand, or the reason why there is none.

    Raises
    ------
    PlaceError
        If nobody can walk where one stands.
    """
    seconds = way.stands_from(here.xy_m, within_min * 60)
    stands: dict[str, Stand | NoStand] = {}
    clear = ClearOfBirds(fixed.fixes, params)
    for fix in fixed.fixes:
        places, travel_s = _candidates(seconds, fix, params)
        best = _best(fix, places, travel_s, clear, params) if len(places) else None
        stands[fix.bird] = best or NoStand(
            WhyNoStand.NEAR_OR_USELESS if len(places) else WhyNoStand.OUT_OF_REACH, within_min, params.stand_off_m
        )
    return stands


def deciding_stands(
    way: WalkNetwork,
    fixed: MorningFixes,
    here: StartPlace,
    pairs: Sequence[MaybeOne],
    within_min: float,
    params: StandParams,
) -> list[DecidingStand | None]:
    """Find for each two birds that may be one the stand whose bearing decides it.

    Parameters
    ----------
    way, fixed : of the trip and the morning.
    here : where one stands.
    pairs : of the association.
    within_min : longest walk to a stand [min].
    params : stand-off, error of the person's usual bearing, earshot.

    Returns
    -------
    list
        One a pair, in the same order; None where no stand in reach decides it.

    Raises
    ------
    PlaceError
        If nobody can walk where one stands.
    """
    sharing = fixed.association.sharing
    if not pairs or sharing is None:
        return [None] * len(pairs)
    seconds = way.stands_from(here.xy_m, within_min * 60)
    clear = ClearOfBirds(fixed.fixes, params)
    return [deciding_stand(pair, sharing, fixed.fixes, seconds, params, clear) for pair in pairs]


def _best(fix: Fix, places: FloatArray, travel_s: FloatArray, clear: ClearOfBirds, params: StandParams) -> Stand | None:
    """Look roughly at every place, and closely at the best few."""
    rough = replace(params, places=ROUGH_PLACES, cells_max=ROUGH_CELLS)
    few = next_stands(fix, places, travel_s, params=rough, clear=clear)[:SHORT_LIST]
    if not few:
        return None
    short = np.array([stand.xy_m for stand in few])
    fine = next_stands(fix, short, np.array([stand.travel_s for stand in few]), params=params, clear=clear)
    return fine[0] if fine else None


def _candidates(seconds: Layer, fix: Fix, params: StandParams) -> tuple[FloatArray, FloatArray]:
    """Reachable cells within earshot of the bird, thinned until few are left."""
    grid = seconds.grid
    reach = FAR_OF_EARSHOT * params.earshot.half_m
    rows, cols = np.nonzero(seconds.known)
    away = np.hypot(*(grid.xy(rows, cols) - np.asarray(fix.median_m)).T)
    some = (away >= params.stand_off_m) & (away <= reach)
    rows, cols = rows[some], cols[some]
    every = 1
    while np.count_nonzero((rows % every == 0) & (cols % every == 0)) > CANDIDATES_MAX:
        every += 1
    kept = (rows % every == 0) & (cols % every == 0)
    return grid.xy(rows[kept], cols[kept]), seconds.values[rows[kept], cols[kept]]
