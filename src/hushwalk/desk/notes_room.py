"""After the walk: notes, birds, the search, logs, the season and the filming, as the commands give them.

The walk itself is morning_room.py's; what takes long is after_walk.py's.
"""

import asyncio
import os
import re
from collections.abc import Callable, Iterable
from datetime import date
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from zoneinfo import ZoneInfo

from starlette.routing import Route

from hushwalk.birds.search.search_record import SUMMARY, note_walked
from hushwalk.desk.answering import answering, receiving
from hushwalk.desk.desk_state import Desk
from hushwalk.errors import InputError
from hushwalk.notes.intake import Naming, take_files, take_typed
from hushwalk.notes.ledger import find_note
from hushwalk.notes.listing import list_notes
from hushwalk.notes.note_report import NoteReport, TakenFiles
from hushwalk.notes.notebook import Notebook, ledger_file, open_ledger
from hushwalk.notes.notes import BearingNote, Note
from hushwalk.notes.reading.word_forms import split_words
from hushwalk.notes.saved_plans import plan_meant, saved_plans
from hushwalk.notes.typed_notes import TypedLine, mend_note, strike_note
from hushwalk.site.units import units_in
from hushwalk.text import one_line
from hushwalk.wording.measures import written_in
from hushwalk.wording.note_words import (
    note_words,
    report_words,
    silent_words,
    warnings_words,
    when_words,
)
from hushwalk.wording.search_words import walked_words

Said = dict[str, Any]
WORKS = ("fix", "search", "logs", "session", "season", "tomorrow")
"""What after_walk.py works out."""
ON_THE_DESK = "said on the desk"
"""Why a note is mended where the page asks for no reason."""
MOST_KEYS = 500  # judgement: a season of bearings of one bird is a tenth of it
ASIDE = re.compile(r"\.taken-\w+[/\\]")
"""The folder that a file was read in aside is no name that a person knows."""
STRANGE = re.compile(r"[^\w .()-]+")


async def _list(desk: Desk, _: Said) -> Said:
    return await _done(desk, lambda _: None)


async def _write(desk: Desk, said: Said) -> Said:
    """Write typed lines down."""
    text, day = str(said["lines"]), _day(said)
    return await _done(desk, lambda book: take_typed(book, text, day))


async def _file(desk: Desk, name: str, content: bytes) -> Said:
    """Take a file in: a filled table, typed lines, or what a GPS stored; it is read aside and kept nowhere."""
    safe = STRANGE.sub("_", one_line(Path(name.replace("\\", "/")).name)).lstrip(".") or "notes"

    def take(book: Notebook) -> TakenFiles:
        with TemporaryDirectory(prefix=".taken-", dir=desk.folder) as folder:
            path = Path(folder) / safe
            path.write_bytes(content)
            return take_files(book, [path], Naming({}, book.day))

    return await _done(desk, take)


async def _mend(desk: Desk, said: Said) -> Said:
    key, words = str(said["key"]), split_words(str(said["words"]))
    return await _done(desk, lambda book: mend_note(book, key, TypedLine(words), _why(said)))


async def _strike(desk: Desk, said: Said) -> Said:
    key = str(said["key"])
    return await _done(desk, lambda book: strike_note(book, key, _why(said)))


async def _share(desk: Desk, said: Said) -> Said:
    """Say whose bearings these are, which no proposal changes any more; without a name, of a bird of their own."""
    keys, bird, others = map(str, said["keys"][:MOST_KEYS]), one_line(str(said.get("bird") or "")), said["birds"]

    def share(book: Notebook) -> None:
        rows = [(key, found) for key in keys if (found := _bearing(book, key)) is not None]
        name = bird or _free_name({str(one) for one in others} | {note.bird for _, note in rows})
        for key, note in rows:
            if not (note.pinned and note.bird == name.upper()):
                mend_note(book, key, TypedLine((f"bird={name}", "pin")), ON_THE_DESK)

    return await _done(desk, share)


def _bearing(book: Notebook, key: str) -> BearingNote | None:
    note = find_note(book.path, key).note
    return note if isinstance(note, BearingNote) else None


def _free_name(names: set[str]) -> str:
    """Give the first name that no bird has yet."""
    return next(name for k in count(1) if (name := f"B{k}") not in names)


async def _searched(desk: Desk, said: Said) -> Said:
    """Note areas of the last search as searched."""
    numbers, day = tuple(int(number) for number in said["numbers"]), _day(said)

    def searched(_: Notebook) -> str:
        planned = plan_meant(saved_plans(desk.path, SUMMARY), [day] if day else [])
        if planned is None:
            raise InputError("no search was planned here; plan it first")
        return walked_words(numbers, note_walked(desk.path, planned.folder / SUMMARY, numbers))

    return await _done(desk, searched)


async def _after(desk: Desk, said: Said) -> Said:
    """Work out what takes long: birds, search, logs, a session, the season, the next day."""
    desk.settings()  # a fault in the trip file is said at once
    name = str(said["name"])
    if name not in WORKS:
        raise InputError(f"the desk knows no work {one_line(name)!r}")

    return await desk.work_out("after_walk", name, str(desk.path), said)


async def _stop(desk: Desk, _: Said) -> Said:
    await desk.shaping.stop()
    return {}


async def _done(desk: Desk, work: Callable[[Notebook], NoteReport | str | None]) -> Said:
    """Do something with the notebook beside the event loop; give what it said, and all notes as they are then."""
    desk.settings()

    def do() -> tuple[Said, bool]:
        before = _state(desk.path)
        with written_in(units_in(desk.path)):
            book = open_ledger(desk.path)
            return _said(work(book), book), _state(desk.path) != before

    found, changed = await asyncio.to_thread(do)
    if changed:
        desk.replan()
    return found


def _state(trip: Path) -> tuple[int, int] | None:
    notes = ledger_file(trip)
    stat = notes.stat() if notes.is_file() else None
    return None if stat is None else (stat.st_mtime_ns, stat.st_size)


def _said(report: NoteReport | str | None, book: Notebook) -> Said:
    """Say what was done, what is doubtful, and what is noted now."""
    listed = list_notes(book)
    files = report if isinstance(report, TakenFiles) else None
    words = "" if report is None else report if isinstance(report, str) else report_words(report)
    return {
        "words": ASIDE.sub("", words.replace(f"{book.path.parent}{os.sep}", "")).splitlines(),
        "warnings": [] if report is None or isinstance(report, str) else list(warnings_words(report)),
        "refused": [str(row) for row in files.refused] if files else [],
        "day": book.day.isoformat(),
        "days": _days((one.row.note for one in listed.notes), book.zone),
        "stops": list(book.stops),
        "notes": [
            {"key": one.key, "when": when_words(one.row.note, book.zone), "words": note_words(one.row.note)}
            for one in listed.notes
        ],
        "unread": [{"key": one.key, "text": one.row.line.text, "why": one.row.line.reason} for one in listed.raw],
        "silent": list(silent_words(listed)),
    }


def _days(notes: Iterable[Note], zone: ZoneInfo) -> list[str]:
    """Give the days of the bearings, of which one at a time is worked out."""
    return sorted({note.at.astimezone(zone).date().isoformat() for note in notes if isinstance(note, BearingNote)})


def _day(said: Said) -> date | None:
    try:
        return date.fromisoformat(str(said["day"])) if said.get("day") else None
    except ValueError:
        raise InputError(f"{one_line(str(said['day']))!r} is no day; write it as 2027-04-25") from None


def _why(said: Said) -> str:
    return str(said.get("why") or "").strip() or ON_THE_DESK


ROUTES = [
    Route("/api/notes", answering(_list), methods=["POST"]),
    Route("/api/notes/write", answering(_write), methods=["POST"]),
    Route("/api/notes/file", receiving(_file), methods=["POST"]),
    Route("/api/notes/mend", answering(_mend), methods=["POST"]),
    Route("/api/notes/strike", answering(_strike), methods=["POST"]),
    Route("/api/notes/share", answering(_share), methods=["POST"]),
    Route("/api/notes/searched", answering(_searched), methods=["POST"]),
    Route("/api/notes/work", answering(_after), methods=["POST"]),
    Route("/api/notes/stop", answering(_stop), methods=["POST"]),
]
