"""Reads a plain table of places, in degrees or as easting and northing, whatever its other columns are.

The fill-in tables of the field notes have their own reader, notes_csv.py.
"""

import csv
from dataclasses import dataclass
from math import isfinite, nan
from pathlib import Path

from hushwalk.errors import InputError, MissingFileError

LONGITUDE = ("longitude_deg", "longitude", "lon", "long", "lng")
LATITUDE = ("latitude_deg", "latitude", "lat")
EASTING = ("easting_m", "easting", "east", "utm_e", "utm_easting")
NORTHING = ("northing_m", "northing", "north", "utm_n", "utm_northing")
EITHER = (("x",), ("y",))
"""Names that may mean degrees or metres; the numbers tell."""

NAMES = ("name", "title", "label", "place", "site", "id")
"""Columns and fields that hold the name of a place, the likeliest first."""

MOST_LON_DEG, MOST_LAT_DEG = 180.0, 90.0


@dataclass(frozen=True)
class TablePlace:
    """A place of a table: its name, empty where none is given, and longitude and latitude [deg] or metres."""

    name: str
    xy: tuple[float, float]


@dataclass(frozen=True)
class PlaceTable:
    """Places of a table, and whether they are in degrees; else they are easting and northing [m]."""

    places: tuple[TablePlace, ...]
    degrees: bool


def read_points(path: Path) -> tuple[tuple[float, float], ...]:
    """Read places in degrees from a table.

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
    table = read_place_table(path)
    if not table.degrees:
        raise InputError(f"{path} gives easting and northing; a column longitude and a column latitude are needed")
    return tuple(place.xy for place in table.places)


def read_place_table(path: Path, names: str | None = None) -> PlaceTable:
    """Read places with their names from a table.

    Parameters
    ----------
    path : CSV with a header; columns are known by their usual names.
    names : column that holds the names; found by itself where it is left out.

    Returns
    -------
    PlaceTable

    Raises
    ------
    MissingFileError, InputError
        As for :func:`read_points`.
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
        return _places(rows, path, names, point=divider == ",")
    except csv.Error as fault:
        raise InputError(f"{path}, line {rows.line_num + 1}: {fault}; it is no row of a table") from None


def name_column(columns: "list[str]") -> str | None:
    """Choose the column that holds the names of places, or None.

    Examples
    --------
    >>> name_column(["ID", "Name", "lat"])
    'Name'
    """
    by_word = {column.strip().lower(): column for column in reversed(columns)}
    return next((by_word[word] for word in NAMES if word in by_word), None)


def _places(rows: "csv.DictReader[str]", path: Path, names: str | None, *, point: bool) -> PlaceTable:
    columns = [name for name in rows.fieldnames or () if name]
    named = {name.strip().lower(): name for name in columns}
    pairs = ((LONGITUDE, LATITUDE), (EASTING, NORTHING), EITHER)
    found = [tuple(next((named[w] for w in words if w in named), None) for words in pair) for pair in pairs]
    which = next((k for k, pair in enumerate(found) if None not in pair), None)
    if which is None:
        raise InputError(
            f"{path} needs a column longitude and a column latitude in degrees, or easting and northing in metres; its "
            f"columns are {', '.join(columns) or 'none'}"
        )
    across, up = found[which]
    if names is not None and names not in columns:
        raise InputError(f"{path} has no column {names!r}; its columns are {', '.join(columns)}")
    label = names or name_column(columns)
    read = []
    for row in rows:
        at = f"{path}, line {rows.line_num}"
        place = _pair(row.get(across), row.get(up), at, point=point)
        read.append((TablePlace((row.get(label) or "").strip() if label else "", place), at))
    inside = [abs(place.xy[0]) <= MOST_LON_DEG and abs(place.xy[1]) <= MOST_LAT_DEG for place, _ in read]
    degrees = which == 0 or (which == len(pairs) - 1 and all(inside))
    for (found_place, at), fits in zip(read, inside, strict=True):
        if degrees and not fits:
            east, north = found_place.xy
            turned = abs(north) <= MOST_LON_DEG and abs(east) <= MOST_LAT_DEG
            mend = "are latitude and longitude swapped?" if turned else "are they degrees?"
            raise InputError(f"{at}: longitude {east:g}, latitude {north:g} is no place; {mend}")
    return PlaceTable(tuple(place for place, _ in read), degrees)


def _pair(across: str | None, up: str | None, where: str, *, point: bool) -> tuple[float, float]:
    """Two numbers of a row; where the divider is no comma, a comma may be the decimal sign."""
    try:
        east, north = (float((text or "") if point else (text or "").replace(",", ".")) for text in (across, up))
    except ValueError:
        east = north = nan
    if not (isfinite(east) and isfinite(north)):
        raise InputError(f"{where}: {across!r}, {up!r} is no pair of numbers, such as longitude and latitude")
    return east, north
