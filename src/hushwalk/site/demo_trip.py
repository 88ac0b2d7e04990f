"""The invented trip that travels with the program, copied to where a person can look at it.

Planning it is the morning's business; in a checkout its files stand in data_demo.
"""

import shutil
from importlib.resources import as_file, files
from pathlib import Path

from hushwalk.errors import MissingFileError, OutputError

KINDS = (".toml", ".tif", ".gpkg", ".geojson", ".csv", ".md")
"""Definition: files of a trip, without the scripts that made them."""


def copy_demo(folder: Path) -> Path:
    """Copy the demo into a folder, which is made if it is not there.

    Returns
    -------
    Path
        The trip file.

    Raises
    ------
    MissingFileError
        If the program was installed without it.
    OutputError
        If there is a trip.toml already, or the folder cannot be written.
    """
    if (folder / "trip.toml").exists():
        raise OutputError(f"{folder / 'trip.toml'} is there already; move it away or choose another folder")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with as_file(files("hushwalk")) as package:
            found = [place for place in _places(package) if (place / "trip.toml").is_file()]
            if not found:
                raise MissingFileError("the demo is not installed along with hushwalk; install it again")
            for path in sorted(found[0].iterdir()):
                if path.suffix in KINDS:
                    shutil.copyfile(path, folder / path.name)
    except OSError as fault:
        if isinstance(fault, MissingFileError):
            raise
        raise OutputError(f"the demo cannot be written to {folder}: {fault.strerror}") from None
    return folder / "trip.toml"


def _places(package: Path) -> tuple[Path, ...]:
    """Where the demo lies: in the installed package, or in the checkout that the package is run from."""
    return (package / "data" / "demo", package.parents[1] / "data_demo")
