"""Costly steps of a plan, kept for the next run of the same trip: a folder of the user's cache, safe to delete.

What the steps are is story.py's story. A step is found again only where settings, layers and program are the same.
"""

import os
import platform
import sys
import tempfile
from collections.abc import Callable
from functools import cache
from hashlib import blake2b
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path
from stat import S_IWGRP, S_IWOTH
from time import monotonic
from typing import Any, TypeVar

from hushwalk.errors import InputError
from hushwalk.files.values import read_values, write_values
from hushwalk.progress import Progress, Step, quiet
from hushwalk.site.settings import TripSettings
from hushwalk.site.species import read_card
from hushwalk.worker import Pending

Value = TypeVar("Value")

WORTH_KEEPING_S = 3.0  # judgement: what is done sooner is done again
MOST_BYTES = 500_000_000  # judgement: reading more than this back takes as long as the work
MOST_BYTES_IN_ALL = 2_000_000_000  # judgement: what a laptop can spare
LIBRARIES = ("numpy", "scipy", "numba", "rasterio", "shapely", "pyproj", "pyogrio", "highspy")
MANY_FILES = (".vrt", ".gti")  # files that draw on others, whose changes nobody would see
WHERE = "HUSHWALK_CACHE"
"""Environment variable: another folder for the steps, or "off"."""


class StepCache:
    """Steps kept under one key.

    Parameters
    ----------
    folder : where they are kept; None to keep nothing.
    key : stands for everything that the steps rest on.
    worth_s : steps that took less are not kept [s].
    """

    def __init__(self, folder: Path | None, key: str = "", worth_s: float = WORTH_KEEPING_S) -> None:
        self.folder = folder
        self.key = key
        self.worth_s = worth_s

    def cached(self, name: str, work: Callable[[], Value], progress: Progress = quiet) -> Value:
        """Give the result of a step, from an earlier run if there is one, else from ``work``.

        Parameters
        ----------
        name : of the step; with the key it says all that the result rests on.
        work : makes the result.
        progress : is called where the result comes from an earlier run.

        Returns
        -------
        Value
            Whatever is wrong with the kept file or the folder, the work is done instead.
        """
        if self.folder is None:
            return work()
        path, label = self._path(self.folder, name), self._label(name)
        try:
            found: Value = _read(path, label)
        except (OSError, InputError):
            began = monotonic()
            made = work()
            return _keep(path, label, made) if monotonic() - began >= self.worth_s else made
        progress(Step("taking from an earlier run:", name.partition(" (")[0]))
        return found

    def cached_later(self, name: str, submit: Callable[[], Pending[Value]]) -> Pending[Value]:
        """Give the result of a step that another process works out, from an earlier run if there is one."""
        if self.folder is None:
            return submit()
        path, label = self._path(self.folder, name), self._label(name)
        try:
            found: Value = _read(path, label)
        except (OSError, InputError):
            pending = submit()
            return Pending(lambda: _keep(path, label, pending.result()))
        return Pending(lambda: found)

    def remembered(self, name: str, work: Callable[[], Value]) -> Value:  # noqa: ARG002 - a warmer cache looks at it
        """Give the result of a step that no file keeps: from ``work``, unless a program that goes on remembers it."""
        return work()

    def _path(self, folder: Path, name: str) -> Path:
        return folder / f"{blake2b(self._label(name).encode(), digest_size=16).hexdigest()}.step"

    def _label(self, name: str) -> str:
        """What stands in the file as well, so that a file that was renamed is not taken for another step or trip."""
        return f"{self.key} {name}"


NO_CACHE = StepCache(None)


def step_cache_of(settings: TripSettings, worth_s: float | None = None) -> StepCache:
    """Give the steps that belong to a trip.

    Parameters
    ----------
    settings : of the trip; layers on the network, and files that draw on other files, keep nothing.
    worth_s : steps that took less are not kept; the usual if not given [s].
    """
    folder = cache_folder()
    marks = marks_of_layers(settings)
    if folder is None or not all(marks):
        return NO_CACHE
    card = read_card(settings.species)
    key = repr((settings, str(settings.folder), marks, sorted(card.raw.items(), key=str), _mark_of_program()))
    return StepCache(
        folder, blake2b(key.encode(), digest_size=16).hexdigest(), WORTH_KEEPING_S if worth_s is None else worth_s
    )


def marks_of_layers(settings: TripSettings) -> list[str]:
    """Give what tells the layer files of a trip from changed ones; an empty text where nothing does."""
    return [_mark_of_file(settings.folder, spec.path) for spec in settings.layers]


def cache_folder() -> Path | None:
    """Folder of the kept steps, or None where the user wants none."""
    said = os.environ.get(WHERE)
    if said == "off":
        return None
    if said:
        return Path(said)
    home = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA") or "~/.cache"
    return Path(home).expanduser() / "hushwalk"


def _mark_of_file(folder: Path, path: str) -> str:
    """Names, sizes and times of a layer's file and of those beside it; empty where they do not report all."""
    full = (folder / path.partition("!")[0]).expanduser()
    try:
        there = full.exists()
    except (OSError, ValueError):  # no name of a file; whoever reads the layer says so
        return ""
    if not there or full.suffix.lower() in MANY_FILES:
        return ""
    parts = sorted(full.rglob("*")) if full.is_dir() else sorted(full.parent.glob(f"{_plain(full.stem)}*"))
    return repr([(str(part), part.stat().st_size, part.stat().st_mtime_ns) for part in parts if part.is_file()])


def _plain(stem: str) -> str:
    return "".join(f"[{sign}]" if sign in "[*?" else sign for sign in stem)


@cache
def _mark_of_program() -> str:
    """Everything of the program that a result may rest on."""
    found = blake2b(digest_size=16)
    root = Path(str(files("hushwalk")))
    for path in sorted(root.rglob("*")):
        if path.suffix in {".py", ".toml", ".csv"}:
            found.update(f"{path.relative_to(root)}\n".encode() + path.read_bytes())
    machine = (sys.version, platform.machine(), *(f"{name} {version(name)}" for name in LIBRARIES))
    return found.hexdigest() + repr(machine)


def _read(path: Path, label: str) -> Any:  # noqa: ANN401 - what was kept is what is asked for
    """Read a step back from a file that nobody else can have written; nothing in it is run."""
    if not path.is_file():  # opening a pipe would wait for ever
        raise FileNotFoundError(path)
    with path.open("rb") as file:
        status = os.fstat(file.fileno())
        if hasattr(os, "getuid") and (status.st_uid != os.getuid() or status.st_mode & (S_IWGRP | S_IWOTH)):
            raise PermissionError(path)
        kept = read_values(file)
    if not (isinstance(kept, tuple) and len(kept) == 2 and kept[0] == label):  # noqa: PLR2004 - label and value
        raise InputError(f"{path.name} holds another step than {label!r}")
    path.touch()
    return kept[1]


def _keep(path: Path, label: str, value: Value) -> Value:
    """Write a step aside, rename it and give it back; whatever goes wrong, nothing is kept."""
    aside: Path | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        handle, made = tempfile.mkstemp(prefix=".writing-", dir=path.parent)
        aside = Path(made)
        with os.fdopen(handle, "wb") as file:
            write_values(file, (label, value))
        if aside.stat().st_size <= MOST_BYTES:
            aside.replace(path)
            _make_room(path.parent)
    except (OSError, InputError):
        pass
    finally:
        if aside is not None:
            aside.unlink(missing_ok=True)
    return value


def _make_room(folder: Path) -> None:
    """Delete what was not used for longest, until the rest is small enough; and what a killed run left behind."""
    steps = sorted(folder.glob("*.step"), key=lambda path: path.stat().st_mtime, reverse=True)
    total = 0
    for path in steps:
        total += path.stat().st_size
        if total > MOST_BYTES_IN_ALL:
            path.unlink(missing_ok=True)
    newest = max((path.stat().st_mtime for path in steps), default=0.0)
    for path in folder.glob(".writing-*"):
        if path.stat().st_mtime < newest - 3600:  # definition: an hour; nobody writes a step for so long
            path.unlink(missing_ok=True)
