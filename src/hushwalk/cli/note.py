"""`hushwalk note`: field notes, one line at a time or from files, into a ledger that loses nothing.

What it does, in reading order, is notes/story.py's; the sentences are wording/note_words.py's.
"""

import sys
from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from hushwalk.cli.trip_argument import trip_file_of
from hushwalk.errors import InputError, MissingFileError
from hushwalk.text import seen

if TYPE_CHECKING:
    from hushwalk.notes.note_report import NoteReport, WaypointQuestion

FILE = click.Path(dir_okay=False, path_type=Path)


@click.command(name="note")
@click.argument("trip", required=False, type=click.Path(path_type=Path))
@click.argument("words", nargs=-1)
@click.option("--at", default="", help="Place, where it is no planned stop: degrees, UTM or USNG.")
@click.option("--say", default="", help="Free words.")
@click.option("--by", default="", help="Who of two people noted it: stops are of the own plan, birds get the name.")
@click.option("--day", type=click.DateTime(["%Y-%m-%d"]), help="Day of the times [today].")
@click.option(
    "--from", "files", multiple=True, type=FILE, help="Take in a table (CSV), typed lines (text, or -) or GPX."
)
@click.option("--name", "names", multiple=True, help='What a waypoint means, as "017=P03 B2 085M"; "017=-": nothing.')
@click.option("--blank", type=FILE, help="Write a table to fill in, with the stops in it.")
@click.option("--logs", is_flag=True, help="Make the blank table one of logs.")
@click.option("--lines", type=click.IntRange(1, 20), default=3, show_default=True, help="Lines a stop in it.")
@click.option("--mend", help="Key of a note or line; the words say what changes.")
@click.option("--strike", help="Key of a note to strike out. Its row stays.")
@click.option("--why", default="", help="Why it is mended or struck out.")
@click.option("--all", "every", is_flag=True, help="List mended and struck rows too.")
@click.option("--notes", type=FILE, help="The ledger [TRIP's folder/notes.gpkg].")
@click.option("--plan", type=FILE, help="summary.json of the plan [of each day the last one of TRIP].")
def command(
    trip: Path | None,
    words: tuple[str, ...],
    *,
    at: str,
    say: str,
    by: str,
    day: datetime | None,
    files: tuple[Path, ...],
    names: tuple[str, ...],
    blank: Path | None,
    logs: bool,
    lines: int,
    mend: str | None,
    strike: str | None,
    why: str,
    every: bool,
    notes: Path | None,
    plan: Path | None,
) -> None:
    r"""Note what was heard and found on the walk of TRIP; without words, list what is noted.

    TRIP is the trip file or its folder; leave it out where you stand in the folder.

    \b
    WORDS, in any order, one note a line:
      P03                 planned stop (p3 will do)
      085                 bearing by your compass; 085M magnetic, 085T true, 085G map grid
      b2                  which bird
      near mid far        how far; sure usual rough: how well heard
      06:12 06:12-06:18   time or span [now]
      nil, heard          a stop where nothing, or something, was heard
      log3 fresh          a log, its droppings: none few fresh old; place by --at
      walk watch filming search hide other   a session, told by --say
      name=value          anything else, such as side=N length=4.5 wind=calm

    \b
    Example:
      hushwalk note trip.toml P03 b2 085 far
      hushwalk note P04 nil 06:20-06:26 wind=calm
      hushwalk note trip.toml --by Bo P03 b2 085
      hushwalk note trip.toml log3 fresh --at "15T YN 00075 50765" side=N height=0.5
      hushwalk note trip.toml --mend 3f2a 095 --why "read it back to front"
      hushwalk note trip.toml --blank walk.csv
      hushwalk note trip.toml --from walk.csv --from tracks.gpx --name "017=P03 B2 085M"
    """
    from hushwalk.notes.intake import Naming
    from hushwalk.notes.story import Blank, NoteRequest
    from hushwalk.notes.story import note as do_note
    from hushwalk.notes.typed_notes import TypedLine

    trip, words = _trip_first(trip, words)
    requested = {
        "--from": bool(files),
        "--blank": blank is not None,
        "--mend": mend is not None,
        "--strike": bool(strike),
    }
    chosen = [name for name, on in requested.items() if on]
    if len(chosen) > 1 or (words and chosen not in ([], ["--mend"])):
        together = " and ".join([*chosen, *(["a note"] if words and "--mend" not in chosen else [])])
        raise InputError(f"{together} are asked for at once; give one at a time")
    if (at or say) and not (words or chosen):
        raise InputError("--at and --say need the words of a note, such as log3 fresh")
    the_day = day.date() if day else None
    request = NoteRequest(
        TypedLine(words, at, say, the_day, by.strip()),
        Blank(blank, logs, lines) if blank is not None else None,
        files,
        Naming(_naming(names), the_day, _ask if sys.stdin.isatty() else None),
        strike,
        mend,
        why,
        every,
    )
    _show(do_note(trip_file_of(trip), request, plan=plan, notes=notes))


def _trip_first(trip: Path | None, words: tuple[str, ...]) -> tuple[Path, tuple[str, ...]]:
    """Give the trip that was typed first, or the one whose folder this is."""
    here = Path("trip.toml")
    if trip is not None and (trip.exists() or not here.is_file()):
        if not trip.exists() and not trip.suffix:
            raise MissingFileError(
                f"there is no trip {trip}; its file or folder comes first, such as: hushwalk note north_ridge P03 085"
            )
        return trip, words
    return here, words if trip is None else (str(trip), *words)


def _show(report: "NoteReport") -> None:
    from hushwalk.notes.note_report import TakenFiles
    from hushwalk.wording.note_words import refused_words, report_words, warnings_words

    click.echo(seen(report_words(report)))
    for words in warnings_words(report):
        click.echo(f"warning: {words}", err=True)
    if not isinstance(report, TakenFiles) or not report.refused:
        return
    for row in report.refused:
        click.echo(f"refused: {row}", err=True)
    raise InputError(refused_words(report))


def _naming(names: Sequence[str]) -> dict[str, str]:
    found = {}
    for text in names:
        own, sign, meant = text.rpartition("=")
        if not sign or not own or not meant.strip():
            raise InputError(f'--name {text!r} is no naming; write it as "017=P03 B2 085M", or "017=-" to leave it out')
        found[own] = meant.strip()
    return found


def _ask(question: "WaypointQuestion") -> str:
    from hushwalk.wording.note_words import question_words

    prompt: Callable[..., str] = click.prompt
    return prompt(question_words(question), default="")
