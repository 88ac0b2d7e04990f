"""`hushwalk season` in reading order: the ledger, what was predicted morning by morning, and what it says.

The sums are season.py's; the words are season_words.py's.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

import numpy as np

from hushwalk.birds.bird_report import ScoredLog, SeasonMale
from hushwalk.birds.heard_ground import on_the_ground, share_heard
from hushwalk.birds.located_birds import located_males, scored_logs
from hushwalk.birds.morning_fixes import SharedMorning, heard_days, join_mornings, notes_of_day, share_morning
from hushwalk.birds.season_birds import SeasonBird, SeasonBirds
from hushwalk.birds.story import clock_of_day, open_book
from hushwalk.errors import InputError, MissingFileError
from hushwalk.grid.layer import Layer
from hushwalk.habitat.density import males_on
from hushwalk.habitat.patches import Patches, patches
from hushwalk.notes.bearing import Listening
from hushwalk.notes.ledger import UnreadRow
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import Kind
from hushwalk.progress import Progress, Step, quiet
from hushwalk.season.season import Calibration, Outcome, PatchBelief, SeasonSum, believe, compare, sum_season
from hushwalk.season.season_map import SeasonMap, season_map
from hushwalk.site.detectability import Detectability, detectability_of
from hushwalk.site.site import Site, read_site
from hushwalk.types import FloatArray

ELSEWHERE = "elsewhere"
KINDS: tuple[Kind, ...] = ("visit", "bearing", "log", "session")
LEAST = 0.005  # judgement: a patch of which a two-hundredth of a male is expected was not listened to
FAINT = 1e-4  # judgement: cells ten thousand times less likely than the best tell nothing of a patch
PATCHES_MAX = 20  # judgement: smaller patches than the twenty best stand together


@dataclass(frozen=True, eq=False)
class Season:
    """The season so far.

    Parameters
    ----------
    title : name of the place.
    total : mornings, stops, birds and logs.
    beliefs : what is believed of each patch that was listened to, the most expected first.
    calibration : predicted against heard over all mornings, or None where nothing could be predicted.
    places : where the patches lie, by name [m].
    logs : judged and grouped, the surest main log first.
    males : heard or known by a log, by number; how many there are, and numbers that merged or split, in ``birds``.
    unread : rows of the notes with a word that this version does not know.
    chart : all of it on one map.
    """

    title: str
    total: SeasonSum
    beliefs: tuple[PatchBelief, ...]
    calibration: Calibration | None
    places: Mapping[str, tuple[float, float]] = field(repr=False)
    logs: tuple[ScoredLog, ...] = ()
    males: tuple[SeasonMale, ...] = ()
    birds: SeasonBirds | None = None
    unread: tuple[UnreadRow, ...] = ()
    chart: SeasonMap | None = field(default=None, repr=False)

    @property
    def last_day(self) -> str:
        """The last day with a note of a stop, a bearing or a log; empty without any."""
        return self.total.by_morning[-1][0] if self.total.by_morning else ""


def season_of(
    trip: Path, *, notes: Path | None = None, layers: Path | None = None, progress: Progress = quiet
) -> Season:
    """Sum up a season, hold it against what was predicted, and judge the logs.

    Parameters
    ----------
    trip : the trip file.
    notes, layers : the ledger, and the folder that layer paths start at; None for the trip's own.
    progress : gets each step as it starts.

    Returns
    -------
    Season
        Counts, what each patch is believed to hold, how predictions held, and the logs.

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend.

    Notes
    -----
    Males heard on a morning are the birds that its bearings were shared out to; each counts for the patch that holds
    most of its chance. Males expected are those of the model that at least one stop of that morning hears, over the
    real ground, for the minutes listened and the hour of the day.
    """
    book = open_book(trip, notes, layers)
    if not book.path.is_file():
        raise MissingFileError(f"there are no field notes {book.path}; note a morning first with `hushwalk note`")
    rows = {kind: book.notes(kind) for kind in KINDS}
    if not any(rows.values()):
        raise InputError(f"{book.path} holds no note yet")
    total = sum_season(
        rows["visit"], rows["bearing"], rows["log"], rows["session"], time_zone=book.settings.morning.time_zone
    )
    progress(Step("reading the layers"))
    site = read_site(book.settings)
    detectability = detectability_of(book.settings, site)
    found = patches(site.habitat.suitability, site.habitat.males, site.card.patch)
    listened: dict[date, tuple[Listening, ...]] = {}
    birds = None
    if days := heard_days(book):
        shared = _shared(book, site, detectability, days, listened, progress)
        birds = join_mornings(book, site, detectability, shared)
    outcomes = [
        o for day, stops in listened.items() for o in _morning(book, site, detectability, found, day, stops, birds)
    ]
    model = {_name(patch.number): patch.males / (patch.area_ha / 100) for patch in found.patches}
    logs = scored_logs(site, rows["log"], rows["bearing"], book.settings.camera.log)
    males = () if birds is None else located_males(site, birds.birds)
    beliefs = sorted(believe(outcomes, model), key=lambda belief: -belief.expected) if outcomes else []
    return Season(
        title=book.settings.place.name,
        total=total,
        beliefs=tuple(beliefs),
        calibration=compare(outcomes) if sum(outcome.expected for outcome in outcomes) > 0 else None,
        places={_name(patch.number): patch.centre_m for patch in found.patches},
        logs=logs,
        males=males,
        birds=birds,
        unread=book.unread(),
        chart=season_map(book, site, detectability, listened, _paired(birds, males), logs),
    )


def _paired(birds: SeasonBirds | None, males: Sequence[SeasonMale]) -> list[tuple[SeasonBird, SeasonMale]]:
    return [] if birds is None else list(zip(birds.birds, males, strict=True))


def _name(number: float) -> str:
    return f"patch {number:.0f}" if np.isfinite(number) and number <= PATCHES_MAX else ELSEWHERE


def _shared(
    book: Notebook,
    site: Site,
    detectability: Detectability,
    days: Sequence[date],
    listened: dict[date, tuple[Listening, ...]],
    progress: Progress,
) -> Iterator[SharedMorning]:
    """Share out the bearings of one morning after the other, and keep where one listened on each."""
    for day in days:
        progress(Step(f"sharing out the bearings of {day:%d %B}"))
        morning = share_morning(book, site, detectability, notes_of_day(book, day))
        listened[day] = morning.listening
        yield morning
    progress(Step("joining the mornings, and comparing them with the prediction"))


def _morning(
    book: Notebook,
    site: Site,
    detectability: Detectability,
    found: Patches,
    day: date,
    stops: Sequence[Listening],
    birds: SeasonBirds | None,
) -> list[Outcome]:
    """Give males expected and heard by patch, for one morning."""
    places = [] if birds is None else [bird.place for bird in birds.birds if day in dict(bird.mornings)]
    heard = _heard(places, found.numbers)
    expected = _expected(book, site, detectability, found.numbers, stops, day)
    names = [name for name, count in expected.items() if count >= LEAST or heard.get(name)]
    return [Outcome(name, expected[name], heard.get(name, 0)) for name in names]


def _heard(places: Sequence[Layer], numbers: Layer) -> dict[str, int]:
    males: dict[str, int] = {}
    for place in places:
        values = np.nan_to_num(place.values)
        rows, cols = np.nonzero(values > values.max() * FAINT)
        names = [_name(number) for number in numbers.at(place.grid.xy(rows, cols))]
        mass: dict[str, float] = {}
        for name, weight in zip(names, values[rows, cols], strict=True):
            mass[name] = mass.get(name, 0.0) + float(weight)
        best = max(mass, key=lambda name: mass[name])
        males[best] = males.get(best, 0) + 1
    return males


def _expected(
    book: Notebook, site: Site, detectability: Detectability, numbers: Layer, stops: Sequence[Listening], day: date
) -> dict[str, float]:
    if not (inside := on_the_ground(site, stops)):
        return {}
    heard = detectability.soundscape.coverage(np.array([stop.xy_m for stop in inside]))
    shares = share_heard(site, detectability, heard, clock_of_day(book, site, day), inside)
    names = _names_of(numbers)
    return {name: float(males_on(_part(site.density, where), heard.grid) @ shares) for name, where in names.items()}


def _names_of(numbers: Layer) -> dict[str, FloatArray]:
    values = numbers.values
    masks = {
        _name(number): values == number for number in np.unique(values[np.isfinite(values)]) if number <= PATCHES_MAX
    }
    return {**masks, ELSEWHERE: ~(values <= PATCHES_MAX)}


def _part(density: Layer, where: FloatArray) -> Layer:
    return density.with_values(np.where(where, density.values, 0.0))
