"""The trip file as the desk's document: read whole, changed with its remarks and order kept, written at once or not.

Which changes there are is trip_edits.py's; their history is history.py's.
"""

import os
import tempfile
from pathlib import Path

from hushwalk.errors import OutputError
from hushwalk.site.toml_text import settings_text

TRIP_FILE = "trip.toml"


def trip_text(path: Path) -> str | None:
    """Read the text of a trip file; None where there is none.

    Raises
    ------
    SettingsError
        If it is no text.
    """
    return settings_text(path, f"there is no trip file {path}") if path.exists() else None


def write_trip_text(path: Path, text: str) -> None:
    """Write a trip file aside, make it durable, and let it take its place.

    Raises
    ------
    OutputError
        If it cannot be written; the file that stood there is as it was.
    """
    aside: Path | None = None
    try:
        handle, made = tempfile.mkstemp(prefix=".writing-", dir=path.parent)
        aside = Path(made)
        with os.fdopen(handle, "wb") as file:
            file.write(text.encode("utf-8"))
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            aside.chmod(path.stat().st_mode & 0o777)
        else:
            aside.chmod(0o644)
        aside.replace(path)
        _make_durable(path.parent)
    except OSError as fault:
        raise OutputError(f"{path} cannot be written: {fault.strerror or fault}; free its space and rights") from None
    finally:
        if aside is not None:
            aside.unlink(missing_ok=True)


def _make_durable(folder: Path) -> None:
    if os.name == "nt":  # there, a folder cannot be opened
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
