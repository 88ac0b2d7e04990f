"""What the planning process works out after the walk: birds, search, logs, filming, season, next day, by the stories.

Notes themselves are notes_room.py's; every sentence is wording's, every drawing the kit's.
"""

from collections.abc import Callable, Sequence
from datetime import date, time
from pathlib import Path
from typing import Any

from hushwalk.birds.bird_report import Detections, LocatedBird
from hushwalk.birds.search.search_record import SUMMARY
from hushwalk.birds.search.search_story import SearchRequest, search_trip
from hushwalk.birds.story import FixReport, FixRequest, clock_of_day, fix_notes, open_book
from hushwalk.desk.ground_view import TripScene, drawn_layer
from hushwalk.errors import InputError
from hushwalk.filming.log_places import names_of_logs
from hushwalk.filming.series import plan_series
from hushwalk.filming.session_report import SessionReport
from hushwalk.filming.story import SessionRequest, plan_sessions
from hushwalk.morning.tomorrow import Choice, what_tomorrow
from hushwalk.notes.notebook import ledger_file
from hushwalk.notes.saved_plans import PLANS
from hushwalk.outputs.day_folder import day_folder
from hushwalk.outputs.filming.session_page import log_views
from hushwalk.outputs.kit.detection_layers import detection_layers, detection_pins, leg_rows, search_layers
from hushwalk.outputs.kit.map_layer import MapLayer
from hushwalk.outputs.kit.page_layers import walk_parts
from hushwalk.outputs.registry import Product, search_products, season_products, session_products
from hushwalk.outputs.search.search_page import search_headline, search_lines, search_promise
from hushwalk.outputs.season.season_page import season_layers, season_pins
from hushwalk.outputs.write import write
from hushwalk.progress import Progress, Step
from hushwalk.season.story import season_of
from hushwalk.site.norths import north_of
from hushwalk.site.place import Place
from hushwalk.site.scene import Scene
from hushwalk.site.site import read_site
from hushwalk.site.trip_file import read_trip
from hushwalk.site.units import units_in
from hushwalk.text import one_line
from hushwalk.wording.bird_words import bird_lines, noted_bearing_words, pair_lines, stand_words
from hushwalk.wording.log_choice_words import COMPARE_HEAD, COMPARE_KEY, compare_cells, halves_words
from hushwalk.wording.measures import written_in
from hushwalk.wording.search_words import left_out_lines, search_rules
from hushwalk.wording.season_words import season_words
from hushwalk.wording.session_words import log_words
from hushwalk.wording.shot_words import series_words
from hushwalk.wording.tomorrow_words import choice_lines, tomorrow_words

Said = dict[str, Any]
DRAWING = Step("drawing")
SESSIONS = "sessions"
DAYS = 14  # judgement: two weeks of mornings are weighed, as `hushwalk logs` does


def _fix(progress: Progress, trip: Path, said: Said) -> Said:
    """Fix the birds of a morning, with the next stand of each."""
    book = open_book(trip, None, None)
    site = read_site(book.settings)
    report = fix_notes(book, FixRequest(_day(said)), progress, site)
    day = report.fixed.notes.day
    north = north_of(site, clock_of_day(book, site, day))
    scene = TripScene(report.title, site.grid, site.car, north, site.country)
    detections = Detections(day, report.birds)
    stands = [_stand(bird) for bird in report.birds if bird.stand is not None]
    return {
        "title": f"{day:%A} {day.day} {day:%B %Y}",
        "day": day.isoformat(),
        "birds": [_bird(report, bird) for bird in report.birds],
        "pairs": [{"names": list(pair.names), "words": pair_lines(pair)} for pair in report.pairs],
        "layers": _drawn(scene, detection_layers(detections)),
        "pins": [*detection_pins(detections), *stands],
    }


def _bird(report: FixReport, bird: LocatedBird) -> Said:
    """One bird, its bearings with the keys of their notes, and the words of the command."""
    rows = {row.uid: row for row in report.fixed.notes.bearing_rows}
    uids = next((one.uids for one in report.fixed.association.birds if one.name == bird.name), ())
    stand = bird.stand
    return {
        "name": bird.name,
        "at": _at(bird.middle),
        "words": bird_lines(bird),
        "bearings": [
            {"key": uid, "words": noted_bearing_words(rows[uid], report.fixed.zone)} for uid in uids if uid in rows
        ],
        "stand": None if stand is None else {"at": _at(stand.place), "words": stand_words(stand.worth)},
    }


def _stand(bird: LocatedBird) -> Said:
    stand = bird.stand
    assert stand is not None  # noqa: S101 - asked by _fix
    title = f"next stand for {bird.name}"
    rows = [["facing", f"{stand.towards_magnetic_deg:03.0f} compass"], ["place", stand.place.usng]]
    return {"group": "stands", "face": "stand", "text": bird.name[:8], "at": _at(stand.place), "title": title} | {
        "rows": rows,
        "why": [stand_words(stand.worth)],
    }


def _search(progress: Progress, trip: Path, said: Said) -> Said:
    """Plan the search for logs, and write it as the command does."""
    request = SearchRequest(
        day=_day(said),
        on=_day(said, "on"),
        back_by=_clock(said, "back_by"),
    )
    report = search_trip(trip, request, progress=progress)
    progress(DRAWING)
    products = search_products(report)
    folder = day_folder(trip, report.day, products, SUMMARY)
    search = report.search
    walk = MapLayer("walk", "The search", walk_parts(search_lines(search)))
    return {
        "headline": [list(pair) for pair in search_headline(search)],
        "promise": search_promise(search),
        "legs": [
            {"number": leg.number, "bird": leg.bird, "at": _at(leg.entry), "rows": [list(row) for row in leg_rows(leg)]}
            for leg in search.legs
        ],
        "left_out": list(left_out_lines(search.left_out)),
        "rules": list(search_rules(search.params)),
        "day": report.day.isoformat(),
        "layers": _drawn(report, (*search_layers(search), *detection_layers(report.detections), walk)),
        "pins": detection_pins(report.detections),
        "files": _written(products, folder, trip),
    }


def _logs(progress: Progress, trip: Path, said: Said) -> Said:
    """Set all logs side by side, with the days at the best of them."""
    settings, ledger = read_trip(trip), ledger_file(trip)
    names = names_of_logs(settings.camera, ledger)
    report = plan_sessions(settings, settings.camera, _session_request(names, said, trip), progress)
    return {
        "names": [plan.name for plan in report.logs],
        "head": list(COMPARE_HEAD),
        "rows": [compare_cells(plan) for plan in report.logs],
        "words": [COMPARE_KEY, *halves_words(report), *series_words(plan_series(report.logs, report.peak))],
        "pins": _log_places(report),
    }


def _session(progress: Progress, trip: Path, said: Said) -> Said:
    """Plan the filming at one log, and write its page and sheet as the command does."""
    settings = read_trip(trip)
    report = plan_sessions(settings, settings.camera, _session_request((str(said.get("log")),), said, trip), progress)
    progress(DRAWING)
    series = plan_series(report.logs, report.peak)
    products = session_products(report, series, [(plan.name, plan) for plan in report.logs])
    return {
        "name": report.logs[0].name,
        "words": [line for plan in report.logs for line in log_words(report, plan).splitlines()],
        "views": [view for plan in report.logs for view in log_views(report, plan)],
        "pins": _log_places(report),
        "files": _written(products, trip.parent / PLANS / SESSIONS, trip),
    }


def _session_request(names: tuple[str, ...], said: Said, trip: Path) -> SessionRequest:
    return SessionRequest(names, _day(said), DAYS, evening=bool(said.get("evening")), ledger=ledger_file(trip))


def _log_places(report: SessionReport) -> list[Said]:
    return [
        {"group": "logs", "face": "log", "text": plan.name[:8], "at": _at(plan.place), "title": plan.name}
        | {"rows": [["place", plan.place.usng]], "why": []}
        for plan in report.logs
    ]


def _season(progress: Progress, trip: Path, _: Said) -> Said:
    """Sum the season up, and write its page as the command does."""
    season = season_of(trip, progress=progress)
    progress(DRAWING)
    chart = season.chart
    return {
        "words": season_words(season).splitlines(),
        "layers": [] if chart is None else _drawn(chart, season_layers(chart)),
        "pins": [] if chart is None else season_pins(chart),
        "files": _written(season_products(season), trip.parent / PLANS / season.last_day, trip),
    }


def _tomorrow(progress: Progress, trip: Path, said: Said) -> Said:
    """List what to do on the next day."""
    found = what_tomorrow(trip, day=_day(said), progress=progress)
    return {"words": tomorrow_words(found).splitlines(), "pins": [_choice(one) for one in found.dawn if one.place]}


def _choice(choice: Choice) -> Said:
    assert choice.place is not None  # noqa: S101 - asked by _tomorrow
    return {
        "group": "choices",
        "face": "stand",
        "text": choice.subject.partition(" (")[0][:8],
        "at": _at(choice.place),
        "title": f"{choice.activity.value}: {choice.subject}",
        "rows": [["place", choice.place.usng]],
        "why": [line.strip() for line in choice_lines(choice)],
    }


WORKS: dict[str, Callable[[Progress, Path, Said], Said]] = {
    "fix": _fix,
    "search": _search,
    "logs": _logs,
    "session": _session,
    "season": _season,
    "tomorrow": _tomorrow,
}
"""What may be asked of the process, by name."""


def after_walk(name: str, path: str, said: Said, progress: Progress) -> Said:
    """Work one thing out, in the units that the owner of the trip reads.

    Parameters
    ----------
    name : a key of ``WORKS``.
    path : of the trip file.
    said : what the page says of it.
    progress : is told as each step begins.

    Returns
    -------
    dict
        As the page reads it.

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend.
    """
    trip = Path(path)
    with written_in(units_in(trip)):
        return WORKS[name](progress, trip, said)


def _written(products: Sequence[Product], folder: Path, trip: Path) -> list[str]:
    """Write products; give their files as they are named below the folder of the trip."""
    return [one.path.relative_to(trip.parent).as_posix() for one in write(products, folder)]


def _drawn(scene: Scene, layers: Sequence[MapLayer]) -> list[Said]:
    return [drawn_layer(scene, layer) for layer in layers]


def _at(place: Place) -> list[float]:
    return [place.lat_deg, place.lon_deg]


def _day(said: Said, key: str = "day") -> date | None:
    try:
        return date.fromisoformat(str(said[key])) if said.get(key) else None
    except ValueError:
        raise InputError(f"{one_line(str(said[key]))!r} is no day; write it as 2027-04-25") from None


def _clock(said: Said, key: str) -> time | None:
    try:
        return time.fromisoformat(str(said[key])) if said.get(key) else None
    except ValueError:
        raise InputError(f"{one_line(str(said[key]))!r} is no time of day; write it as 12:30") from None
