"""What to do tomorrow: close in on a male, search his ground, listen where nothing was heard, film at a log.

Each choice takes its chance and its minutes from what fix, search, season and plan work out; the words are
tomorrow_words.py's.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from enum import Enum
from pathlib import Path
from typing import NamedTuple

import numpy as np

from hushwalk.birds.bird_report import ScoredLog
from hushwalk.birds.credible_ground import middle_m
from hushwalk.birds.noted_season import NotedSeason
from hushwalk.birds.search.search_story import SearchRequest, search_of_birds
from hushwalk.birds.season_birds import SeasonBird
from hushwalk.birds.story import open_book
from hushwalk.errors import InputError, MissingFileError, NoPlanError, SettingsError
from hushwalk.morning.day.day_figures import closing_in_curve
from hushwalk.morning.day.day_inputs import walk_of_plan
from hushwalk.morning.day.expected_day import expected_of_walk
from hushwalk.morning.heard_in_bouts import worth_in_bouts
from hushwalk.morning.heeded_notes import HeededNotes, heed_notes
from hushwalk.morning.look_round import Morning, look_round
from hushwalk.morning.morning_problem import MorningProblem, build_problem, posts_of
from hushwalk.morning.solved_plan import RunParams, solved
from hushwalk.morning.worth_going import NEXT_TO_NONE
from hushwalk.notes.figures import figure
from hushwalk.notes.ledger import UnreadRow
from hushwalk.progress import Progress, Step, quiet
from hushwalk.site.day_of_trip import on_day
from hushwalk.site.detectability import availability_at
from hushwalk.site.place import Place
from hushwalk.site.settings import TripSettings
from hushwalk.site.site import Site, place_of
from hushwalk.site.trip_file import read_trip
from hushwalk.types import FloatArray

SECTORS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
EVENING = "evening"
SECTORS_TRIED = 3  # judgement: what lies in the other directions is worth less, and each takes a search of its own
SIT_MIN = 150.0  # judgement: from an hour before sunrise until an hour and a half after it
IN_USE = 0.25  # judgement: at a log that is less surely in use nobody sits for a morning
FARTHEST_M = 350.0  # judgement: from farther off a try rarely reaches a male
STANDS = 400  # judgement: stands some tens of metres apart; the chance changes little between them
PLACES = 600  # judgement: likeliest cells of a male, which hold nearly all of him
ITERATIONS = 300  # judgement: a handful of stops; more steps find no other ones
DAYS = 120  # judgement: chances to one in twenty, in a second or two
SEARCH = RunParams(search_s=None, iterations=ITERATIONS, proof_s=0.0)


class ChoiceKind(Enum):
    """What one can do."""

    FILM = "film"
    CLOSE_IN = "close in"
    LISTEN = "listen"
    SEARCH = "search"


@dataclass(frozen=True, eq=False)
class Choice:
    """One thing to do.

    Parameters
    ----------
    activity : what.
    subject : the male, the bird, the log or the direction.
    chance : that it comes off, 0..1: the male is reached, the log found, he displays on it, a male is heard.
    minutes : from the car and back for dawn; of the search alone, with the walk to it, for the late morning [min].
    begin, end : at the place; None where it is not timed.
    place : where to go; None for a walk with several stops.
    males, log_chance : expected to be heard, and that a log is found with the late search, where one listens.
    """

    activity: ChoiceKind
    subject: str
    chance: float
    minutes: float
    begin: datetime | None = None
    end: datetime | None = None
    place: Place | None = None
    males: float | None = None
    log_chance: float | None = None


class TripFiles(NamedTuple):
    """The trip file, and the ledger and the folder of the layers where other ones were named."""

    trip: Path
    notes: Path | None = None
    layers: Path | None = None


@dataclass(frozen=True, eq=False)
class Tomorrow:
    """The choices of a day: at dawn by activity and the likeliest first, late in the morning in walking order.

    Parameters
    ----------
    title : name of the place.
    day : that is planned.
    dawn, late : what can be done then.
    participation : share of the males that display at all on such a morning.
    files : of which trip.
    unread : rows of the notes with a word that this version does not know.
    evening : the hours before sunset, listened through; None where that is not worth going for.
    """

    title: str
    day: date
    dawn: tuple[Choice, ...]
    late: tuple[Choice, ...]
    participation: float
    files: TripFiles
    unread: tuple[UnreadRow, ...] = ()
    evening: Choice | None = None


def what_tomorrow(
    trip: Path,
    *,
    day: date | int | None = None,
    notes: Path | None = None,
    layers: Path | None = None,
    progress: Progress = quiet,
) -> Tomorrow:
    """List what can be done on a day, by all that was noted.

    Parameters
    ----------
    trip : the trip file.
    day : a date or a number, as :func:`hushwalk.site.day_of_trip.day_meant` takes it; None for the morning of the trip
        file, or for the day after the last notes where that morning is noted.
    notes, layers : the ledger, and the folder that layer paths start at; None for the trip's own.
    progress : gets each step as it starts.

    Returns
    -------
    Tomorrow

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend.
    """
    book = open_book(trip, notes, layers)
    if not book.path.is_file():
        raise MissingFileError(f"there are no field notes {book.path}; note a morning first with `hushwalk note`")
    rows = [row for kind in ("visit", "bearing", "log") for row in book.notes(kind)]
    if not rows:
        raise InputError(f"{book.path} holds no note of a stop, a bearing or a log yet")
    noted = max(row.note.at.astimezone(book.zone).date() for row in rows)
    said = book.settings.morning.date
    trip_then = read_trip(trip, day or (said if said > noted else noted + timedelta(days=1)))
    trip_then = replace(trip_then, folder=book.settings.folder)
    chosen = trip_then.morning.date
    settings = on_day(trip_then, chosen)
    heeded = heed_notes(look_round(settings, progress), book.path, progress)
    if heeded.season is None:
        raise InputError(f"the notes {book.path} cannot be used: {heeded.fault}")
    progress(Step("weighing what can be done at dawn"))
    dawn = [
        _likeliest_first(made) for made in (_logs(heeded), _males(heeded, heeded.season), _listening(heeded.morning))
    ]
    progress(Step("laying lines through the grounds to search"))
    return Tomorrow(
        title=settings.place.name,
        day=chosen,
        dawn=tuple(one for made in dawn for one in made),
        late=tuple(_search(heeded, heeded.season, chosen)),
        participation=_available(heeded.morning, 0.0),
        files=TripFiles(trip, notes, layers),
        unread=book.unread(),
        evening=_evening(trip_then, heeded.before.site, book.path, progress),
    )


def _likeliest_first(choices: Iterator[Choice]) -> list[Choice]:
    return sorted(choices, key=lambda one: -one.chance)


def _available(morning: Morning, minutes: float) -> float:
    """Chance that a male displays at sunrise while one is there; with no minutes, that he displays at all."""
    begin = np.array([morning.clock.sunrise_s - minutes * 60 / 2])
    available = availability_at(morning.detectability, morning.site, morning.clock, begin, minutes * 60)
    return float(available.participation if minutes == 0 else available.chance[0])


def _males(heeded: HeededNotes, season: NotedSeason) -> Iterator[Choice]:
    """Close in on each male whose log is not found, from the stand that reaches him best."""
    morning, clock = heeded.morning, heeded.morning.clock
    minutes = figure("closing_in", "try_min")
    for male in season.males:
        if male.logs or (stand := _stand(morning, male)) is None:
            continue
        xy_m, chance, walk_s = stand
        begin = max(clock.civil_dawn_s, clock.earliest_s + walk_s)
        yield Choice(
            ChoiceKind.CLOSE_IN,
            _name(male),
            chance=chance * _available(morning, minutes),
            minutes=2 * walk_s / 60 + minutes,
            begin=clock.at(begin),
            end=clock.at(begin + minutes * 60),
            place=place_of(morning.site.grid, xy_m, "", morning.site.ground.elevation),
        )


def _name(male: SeasonBird) -> str:
    names = dict.fromkeys(name for _, name in male.mornings)
    return f"male {male.number}" + (f" ({', '.join(names)})" if names else "")


def _stand(morning: Morning, male: SeasonBird) -> tuple[FloatArray, float, float] | None:
    """Where to close in from: place [m], chance to reach him if he displays, and the walk from the car [s]."""
    grid, way = morning.site.grid, morning.way
    stand_off_m = morning.settings.walker.stand_off_m
    free = np.isfinite(way.from_car_s) & ~way.no_stop & ~way.graph.ground.blocked
    free &= np.nan_to_num(way.from_car_s, nan=np.inf) * 2 <= morning.clock.window_s
    rows, cols = np.nonzero(free)
    cells = grid.xy(rows, cols)
    away = np.hypot(*(cells - np.asarray(middle_m(male.place))).T)
    near = np.flatnonzero((away >= stand_off_m) & (away <= FARTHEST_M))
    if len(near) == 0:
        return None
    near = near[:: max(1, len(near) // STANDS)]
    places_m, weight = _likeliest(male)
    judged_m, reached = closing_in_curve()
    distance = np.hypot(*(cells[near][:, None] - places_m[None]).transpose(2, 0, 1))
    chance = np.interp(distance, judged_m, reached, right=0.0) @ weight
    best = near[int(np.argmax(chance))]
    return cells[best], float(chance.max()), float(way.from_car_s[rows[best], cols[best]])


def _likeliest(male: SeasonBird) -> tuple[FloatArray, FloatArray]:
    """Likeliest cells of a male, shape (n, 2) [m], and their chances; they sum to at most 1."""
    values = np.nan_to_num(male.place.values).ravel()
    best = np.argsort(-values, kind="stable")[:PLACES]
    rows, cols = np.divmod(best, male.place.grid.n_cols)
    return male.place.grid.xy(rows, cols), values[best]


def _logs(heeded: HeededNotes) -> Iterator[Choice]:
    """Sit at each log that is surely enough in use."""
    morning, before = heeded.morning, heeded.before
    grid = morning.site.grid
    for log in heeded.detections.logs if heeded.detections else ():
        inside = log.use >= IN_USE and grid.contains(np.atleast_2d(log.place.xy_m))[0]
        walk_s = float(before.way.from_car_s[grid.cell_at(log.place.xy_m, log.name)]) if inside else np.nan
        if np.isfinite(walk_s):
            yield _sitting(morning, log, walk_s)


def _sitting(morning: Morning, log: ScoredLog, walk_s: float) -> Choice:
    begin = morning.clock.sunrise_s - 3600
    return Choice(
        ChoiceKind.FILM,
        log.name,
        chance=log.use * _available(morning, SIT_MIN),
        minutes=2 * walk_s / 60 + SIT_MIN,
        begin=morning.clock.at(begin),
        end=morning.clock.at(begin + SIT_MIN * 60),
        place=log.place,
    )


def _listening(morning: Morning) -> Iterator[Choice]:
    """Listen in the directions from the car that hold most males that are not heard yet."""
    try:
        morning_problem = build_problem(morning, posts_of(morning))
    except NoPlanError:
        return
    away = morning_problem.posts_xy - np.asarray(morning.site.car.xy_m)
    sector = np.round(np.degrees(np.arctan2(away[:, 0], away[:, 1])) / 45).astype(int) % len(SECTORS)
    worth = morning_problem.problem.chance @ morning_problem.problem.weights
    held = np.bincount(sector, weights=worth[1:], minlength=len(SECTORS))
    for k in np.argsort(-held)[:SECTORS_TRIED].tolist():
        others = tuple((np.flatnonzero(sector != k) + 1).tolist())
        if held[k] > 0 and (choice := _walk(morning, morning_problem, SECTORS[k], others)) is not None:
            yield choice


def _evening(settings: TripSettings, site: Site, notes: Path, progress: Progress) -> Choice | None:
    """Listen in the hours before sunset; None where that is not worth going for, or there is no such evening."""
    progress(Step("weighing the evening"))
    try:
        late = on_day(settings, settings.morning.date, evening=True)
        same = late.place == on_day(settings, settings.morning.date).place
        morning = heed_notes(look_round(late, quiet, site if same else None), notes).morning
        choice = _walk(morning, build_problem(morning, posts_of(morning)), EVENING, ())
    except (NoPlanError, SettingsError):
        return None
    if choice is None or (choice.males or 0.0) < NEXT_TO_NONE:
        return None
    return replace(choice, log_chance=None)  # after an evening no light is left to search for a log


def _walk(morning: Morning, morning_problem: MorningProblem, name: str, forbidden: tuple[int, ...]) -> Choice | None:
    """Listen on the best walk found without some posts, played on days with birds in groups; None where none fits."""
    own = replace(morning_problem, problem=replace(morning_problem.problem, forbidden=forbidden))
    try:
        plan = solved(morning.site, own, (), morning.settings, SEARCH).plan
    except NoPlanError:
        return None
    if not plan.visits:
        return None
    walk = walk_of_plan(morning, own, plan, 0.0)
    played, _ = expected_of_walk(morning, replace(walk, column=np.arange(walk.stops)), own.heard.grid, DAYS)
    chances, clock = played.chances, morning.clock
    return Choice(
        ChoiceKind.LISTEN,
        name,
        chance=1 - chances.heard_chances[0],
        minutes=plan.duration_s / 60,
        begin=clock.at(plan.visits[0].arrive_s),
        end=clock.at(plan.visits[-1].leave_s),
        males=worth_in_bouts(own.problem, plan, own.bouts),
        log_chance=chances.log_chance,
    )


def _search(heeded: HeededNotes, season: NotedSeason, day: date) -> Iterator[Choice]:
    """Search the grounds of birds whose log is not found, as `hushwalk search` would in the late morning."""
    if season.fixed is None:
        return
    site, detectability = heeded.before.site, heeded.before.detectability
    try:
        found = search_of_birds(season.book, site, detectability, season.fixed, SearchRequest(on=day))
    except (InputError, NoPlanError, SettingsError):  # no bird is left, no way, or the sun sets before it may begin
        return
    for leg in found.search.legs:
        male = season.fixed.male_of(leg.bird)
        subject = leg.bird if male is None else f"{leg.bird}, male {male.number}"
        minutes = leg.minutes + (leg.leave - leg.arrive).total_seconds() / 60
        yield Choice(ChoiceKind.SEARCH, subject, leg.chance, minutes, leg.arrive, leg.leave, leg.entry)
