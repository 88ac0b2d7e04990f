"""The trip file as the desk's document: read whole, to the letter, and written at once or not.

Which changes there are is trip_edits.py's; their history is history.py's.
"""

import os
import tempfile
from pathlib import Path

from hushwalk.errors import OutputError
from hushwalk.site.toml_text import settings_text

TRIP_FILE = "trip.toml"
ASIDE = ".writing-trip-"


def trip_text(path: Path) -> str | None:
    """Read the text of a trip file with its line ends as they are; None where there is none.

    Raises
    ------
    SettingsError
        If it is no text.
    """
    if not path.exists():
        return None
    settings_text(path, f"there is no trip file {path}")  # says what is wrong with a file that is none
    return path.read_bytes().decode("utf-8")


def write_trip_text(path: Path, text: str) -> None:
    """Write a trip file aside, make it durable, and let it take its place.

    Raises
    ------
    OutputError
        If it cannot be written; the file that stood there is as it was.
    """
    aside: Path | None = None
    try:
        handle, made = tempfile.mkstemp(prefix=ASIDE, dir=path.parent)
        aside = Path(made)
        with os.fdopen(handle, "wb") as file:
            file.write(text.encode("utf-8"))
            file.flush()
            os.fsync(file.fileno())
        aside.chmod(path.stat().st_mode & 0o777 if path.exists() else 0o644)
        aside.replace(path)
        _make_durable(path.parent)
    except OSError as fault:
        raise OutputError(f"{path} cannot be written: {fault.strerror or fault}; free its space and rights") from None
    finally:
        if aside is not None:
            aside.unlink(missing_ok=True)


def sweep_aside(folder: Path) -> None:
    """Take away what a desk that was killed had begun to write."""
    for left in folder.glob(f"{ASIDE}*"):
        left.unlink(missing_ok=True)


def _make_durable(folder: Path) -> None:
    if os.name == "nt":  # there, a folder cannot be opened
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
