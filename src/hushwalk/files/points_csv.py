"""Reads a plain table of places in degrees, whatever its other columns are.

The fill-in tables of the field notes have their own reader, notes_csv.py.
"""

import csv
from pathlib import Path

from hushwalk.errors import InputError, MissingFileError

LONGITUDE = ("longitude_deg", "longitude", "lon", "long", "lng", "x")
LATITUDE = ("latitude_deg", "latitude", "lat", "y")
MOST_LON_DEG, MOST_LAT_DEG = 180.0, 90.0


def read_points(path: Path) -> tuple[tuple[float, float], ...]:
    """Read places from a table.

    Parameters
    ----------
    path : CSV with a header; columns of longitude and latitude are known by their usual names.

    Returns
    -------
    tuple of (longitude, latitude)
        [deg].

    Raises
    ------
    MissingFileError, InputError
        If the file is missing, no table, lacks a column, or a row holds no place, with its line.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise MissingFileError(f"there is no file {path}") from None
    except (OSError, UnicodeDecodeError) as fault:
        raise InputError(f"{path} cannot be read as a table: {fault}; save it as CSV in UTF-8") from None
    first = text.partition("\n")[0]
    divider = max(",;\t", key=first.count)
    rows = csv.DictReader(text.splitlines(), delimiter=divider)
    try:
        return _places(rows, path)
    except csv.Error as fault:
        raise InputError(f"{path}, line {rows.line_num + 1}: {fault}; it is no row of a table") from None


def _places(rows: "csv.DictReader[str]", path: Path) -> tuple[tuple[float, float], ...]:
    named = {(name or "").strip().lower(): name for name in rows.fieldnames or ()}
    lon, lat = (next((named[word] for word in words if word in named), None) for words in (LONGITUDE, LATITUDE))
    if lon is None or lat is None:
        names = ", ".join(filter(None, rows.fieldnames or ())) or "none"
        raise InputError(f"{path} needs a column longitude and a column latitude in degrees; its columns are {names}")
    return tuple(_place(row.get(lon), row.get(lat), f"{path}, line {k}") for k, row in enumerate(rows, start=2))


def _place(lon: str | None, lat: str | None, where: str) -> tuple[float, float]:
    try:
        place = float(lon or ""), float(lat or "")
    except ValueError:
        raise InputError(f"{where}: {lon!r}, {lat!r} is no longitude and latitude in degrees") from None
    if not (abs(place[0]) <= MOST_LON_DEG and abs(place[1]) <= MOST_LAT_DEG):
        raise InputError(f"{where}: longitude {place[0]:g}, latitude {place[1]:g} is no place; are they degrees?")
    return place
