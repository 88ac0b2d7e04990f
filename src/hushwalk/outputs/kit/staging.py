"""The staging folder that results are written into first, and how they then take the place of older ones.

What is written is write.py's business.
"""

import os
import shutil
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from errno import EISDIR
from pathlib import Path

PREFIX = ".writing-"
NEW, TAKING, TAKEN = "new", "taking", "taken"
"""Definition: folders of the staging folder: what is written, and older files while and after they are taken out."""


@contextmanager
def staging_folder(folder: Path) -> Iterator[Path]:
    """Give an empty folder to write into, on the disk where the results will be, and take it away afterwards.

    Parameters
    ----------
    folder : where the results will be. Its own disk is sure to be the same where it is there, that of the folder
        around it where it is not; either is rid of what killed runs left behind.
    """
    home = folder if os.path.lexists(folder) else folder.parent
    home.mkdir(parents=True, exist_ok=True)
    sweep(home)
    with tempfile.TemporaryDirectory(prefix=f"{PREFIX}{os.getpid()}-", dir=home, ignore_cleanup_errors=True) as around:
        new = Path(around) / NEW
        new.mkdir()
        yield new


def put_in_place(new: Path, folder: Path, names: Sequence[str]) -> None:
    """Let written files be those of a folder: all of them, or those that were there.

    Parameters
    ----------
    new : of :func:`staging_folder`, with the files.
    folder : where they will be.
    names : of the files, in their order.

    Notes
    -----
    A folder that is not there yet appears whole, in one rename. In one that is there nothing else is touched: older
    files of these names are taken out, last first, then the new ones are put in. So old and new ones never lie side
    by side, and the next run into this folder ends what a kill in between has begun.
    """
    if not (folder.is_dir() and new.parents[1].samefile(folder)):
        new.rename(folder)
        return
    if of_theirs := next((folder / name for name in names if (folder / name).is_dir()), None):
        raise IsADirectoryError(EISDIR, f"{of_theirs.name} is a folder there")
    taking, taken = new.parent / TAKING, new.parent / TAKEN
    taking.mkdir()
    try:
        _move((name for name in reversed(names) if os.path.lexists(folder / name)), folder, taking)
        taking.rename(taken)
        _move(names, new, folder)
    except BaseException:
        if taken.is_dir():
            _move((name for name in names if not (new / name).exists()), folder, new)
            taken.rename(taking)
        _move(_names(taking), taking, folder)
        raise


def sweep(home: Path) -> None:
    """End what processes that are no more have begun to replace, and take their staging folders away."""
    for left in home.glob(f"{PREFIX}*-*"):
        number = left.name.removeprefix(PREFIX).partition("-")[0]
        if left.is_dir() and not left.is_symlink() and number.isdigit() and not _alive(int(number)):
            if (left / TAKEN).is_dir():
                _move(_names(left / NEW), left / NEW, home)
            elif (left / TAKING).is_dir():
                _move(_names(left / TAKING), left / TAKING, home)
            shutil.rmtree(left, ignore_errors=True)


def _move(names: Iterable[str], source: Path, target: Path) -> None:
    for name in names:
        (source / name).replace(target / name)


def _names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def _alive(process: int) -> bool:
    if os.name == "nt":  # there, signal 0 is no mere question
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        return True
    return True
