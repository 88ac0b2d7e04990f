"""The staging folder that results are written into first, and what a killed run left behind of its own.

What is written is write.py's business.
"""

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

PREFIX = ".writing-"


@contextmanager
def staging_folder(folder: Path) -> Iterator[Path]:
    """Give a staging folder, named after this process, and take it away afterwards.

    Parameters
    ----------
    folder : where the results will be; it is made where it is missing, and rid of what killed runs left behind.
    """
    folder.mkdir(parents=True, exist_ok=True)
    sweep(folder)
    with tempfile.TemporaryDirectory(
        prefix=f"{PREFIX}{os.getpid()}-", dir=folder, ignore_cleanup_errors=True
    ) as staging:
        yield Path(staging)


def sweep(folder: Path) -> None:
    """Take away folders of processes that are no more."""
    for left in folder.glob(f"{PREFIX}*-*"):
        number = left.name.removeprefix(PREFIX).partition("-")[0]
        if left.is_dir() and not left.is_symlink() and number.isdigit() and not _alive(int(number)):
            shutil.rmtree(left, ignore_errors=True)


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
