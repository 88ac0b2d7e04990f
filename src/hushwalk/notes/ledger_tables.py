"""The tables of the ledger: a GeoPackage (OGC 12-128r17) laid out by hand, so that every write is one durable step.

What is done with them is ledger.py's business.
"""

import sqlite3
import struct
from dataclasses import fields
from datetime import UTC, datetime
from functools import cache
from types import UnionType
from typing import Any, get_args, get_type_hints

from hushwalk.notes.notes import ADDED, BearingNote, Kind, LogNote, LonLat, Note, SessionNote, VisitNote

TABLES: dict[Kind, str] = {"visit": "visits", "bearing": "sightings", "log": "logs", "session": "sessions"}
NOUNS: dict[Kind, type[Note]] = {"visit": VisitNote, "bearing": BearingNote, "log": LogNote, "session": SessionNote}
KEPT = ("uid", "corrects", "withdrawn", "noted_at", "origin", "line", "why")
APPLICATION_ID = 0x47504B47  # definition: "GPKG", ogc_geopackage_1_3
USER_VERSION = 10300  # definition: GeoPackage 1.3
RAW_TABLE = "raw_lines"
RAW_COLUMNS = ("uid", "corrects", "withdrawn", "noted_at", "origin", "why", "text", "day", "word", "reason")
WGS84 = 4326  # definition: EPSG code
_POINT = struct.Struct("<2sBBiBIdd")
_TIME = "%Y-%m-%dT%H:%M:%S"

_STANDARD = """
CREATE TABLE gpkg_spatial_ref_sys (srs_name TEXT NOT NULL, srs_id INTEGER NOT NULL PRIMARY KEY,
  organization TEXT NOT NULL, organization_coordsys_id INTEGER NOT NULL, definition TEXT NOT NULL, description TEXT);
CREATE TABLE gpkg_contents (table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL, identifier TEXT UNIQUE,
  description TEXT DEFAULT '', last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE, srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
CREATE TABLE gpkg_geometry_columns (table_name TEXT NOT NULL, column_name TEXT NOT NULL,
  geometry_type_name TEXT NOT NULL, srs_id INTEGER NOT NULL, z TINYINT NOT NULL, m TINYINT NOT NULL,
  CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name), CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id))
"""
_WGS84_WKT = (
    'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],'
    'AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,'
    'AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]]'
)
_SYSTEMS = (
    ("Undefined cartesian SRS", -1, "NONE", -1, "undefined", "undefined cartesian"),
    ("Undefined geographic SRS", 0, "NONE", 0, "undefined", "undefined geographic"),
    ("WGS 84 geodetic", WGS84, "EPSG", WGS84, _WGS84_WKT, "longitude/latitude on the WGS 84 ellipsoid"),
)


def said_columns(kind: Kind) -> tuple[str, ...]:
    """Columns of what a note says, without its place."""
    return tuple(f.name for f in fields(NOUNS[kind]) if f.name != "place")


def lay_out(db: sqlite3.Connection) -> None:
    """Make all tables of an empty ledger; the caller holds the transaction.

    Notes
    -----
    Triggers refuse every change and removal of a row: the ledger only grows. No spatial index is made, since its
    triggers call functions that plain SQLite does not have, and a season is a few thousand rows.
    """
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    db.execute(f"PRAGMA user_version = {USER_VERSION}")
    for statement in _STANDARD.split(";"):
        db.execute(statement)
    db.executemany("INSERT INTO gpkg_spatial_ref_sys VALUES (?, ?, ?, ?, ?, ?)", _SYSTEMS)
    for kind, table in TABLES.items():
        db.execute(_create(kind, table))
        _only_grows(db, table)
        db.execute(_view(kind, table))
        for name, words in ((table, "every note ever made"), (f"{table}_now", "as corrected")):
            db.execute(
                "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, srs_id) "
                "VALUES (?, 'features', ?, ?, ?)",
                (name, name, words, WGS84),
            )
            db.execute("INSERT INTO gpkg_geometry_columns VALUES (?, 'geom', 'POINT', ?, 0, 0)", (name, WGS84))


def upgrade(db: sqlite3.Connection) -> None:
    """Give a ledger of an earlier version what this one keeps besides: new columns, and the lines not understood yet.

    Notes
    -----
    Nothing is taken away, so an earlier version still reads and writes the file.
    """
    for kind, table in TABLES.items():
        there = {row[1] for row in db.execute(f"PRAGMA table_info({table})")}
        missing = [name for name in said_columns(kind) if name not in there and name in ADDED]
        for name in missing:
            db.execute(f"ALTER TABLE {table} ADD COLUMN {name} {_sql_type(kind, name)}")
        if missing:
            db.execute(f"DROP VIEW IF EXISTS {table}_now")
            db.execute(_view(kind, table))
    if db.execute("SELECT 1 FROM sqlite_master WHERE name = ?", (RAW_TABLE,)).fetchone() is None:
        db.execute(
            f"CREATE TABLE {RAW_TABLE} (fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, uid TEXT NOT NULL UNIQUE, "
            "corrects TEXT UNIQUE, withdrawn BOOLEAN NOT NULL DEFAULT 0, noted_at DATETIME NOT NULL, "
            "origin TEXT NOT NULL, why TEXT NOT NULL, text TEXT NOT NULL, day TEXT NOT NULL, word TEXT NOT NULL, "
            "reason TEXT NOT NULL)"
        )
        _only_grows(db, RAW_TABLE)
        db.execute(
            "INSERT INTO gpkg_contents (table_name, data_type, identifier, description) VALUES (?, 'attributes', ?, ?)",
            (RAW_TABLE, RAW_TABLE, "lines not understood yet"),
        )


def _only_grows(db: sqlite3.Connection, table: str) -> None:
    for change in ("UPDATE", "DELETE"):
        db.execute(
            f"CREATE TRIGGER {table}_no_{change.lower()} BEFORE {change} ON {table} "
            "BEGIN SELECT RAISE(ABORT, 'the ledger only grows: correct a note instead'); END"
        )


def _view(kind: Kind, table: str) -> str:
    columns = ", ".join(("fid AS OGC_FID", "geom", *KEPT, *said_columns(kind)))
    newer = f"SELECT 1 FROM {table} AS n WHERE n.corrects = t.uid"  # noqa: S608 - names of our own tables
    return f"CREATE VIEW {table}_now AS SELECT {columns} FROM {table} AS t WHERE withdrawn = 0 AND NOT EXISTS ({newer})"  # noqa: S608


def _create(kind: Kind, table: str) -> str:
    said = ", ".join(f"{name} {_sql_type(kind, name)}" for name in said_columns(kind))
    return (
        f"CREATE TABLE {table} (fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, geom POINT, uid TEXT NOT NULL UNIQUE, "
        f"corrects TEXT UNIQUE, withdrawn BOOLEAN NOT NULL DEFAULT 0, noted_at DATETIME NOT NULL, "
        f"origin TEXT NOT NULL, line TEXT NOT NULL, why TEXT NOT NULL, {said})"
    )


@cache
def _base_type(kind: Kind, name: str) -> Any:  # noqa: ANN401 - a type as read from an annotation
    hint = get_type_hints(NOUNS[kind])[name]
    return next(t for t in get_args(hint) if t is not type(None)) if isinstance(hint, UnionType) else hint


def _sql_type(kind: Kind, name: str) -> str:
    return {datetime: "DATETIME", bool: "BOOLEAN", int: "INTEGER", float: "DOUBLE", str: "TEXT"}[_base_type(kind, name)]


def to_sql(value: object) -> object:
    """Turn one value of a note into what SQLite keeps."""
    if isinstance(value, datetime):
        return value.astimezone(UTC).strftime(_TIME) + ".000Z"
    return int(value) if isinstance(value, bool) else value


def from_sql(kind: Kind, name: str, value: object) -> object:
    """Turn one kept value back into what the note holds.

    Parameters
    ----------
    kind : of the note.
    name : its field.
    value : as the ledger keeps it: text, number or None.

    Returns
    -------
    object
        A value of the type of that field, or None where nothing was noted.
    """
    if value is None:
        return None
    base = _base_type(kind, name)
    if base is datetime:
        return read_time(str(value))
    return bool(value) if base is bool else base(value)


def read_time(text: str) -> datetime:
    """Read a kept time, always UTC."""
    return datetime.strptime(text[:19], _TIME).replace(tzinfo=UTC)


def point_blob(place: LonLat | None) -> bytes | None:
    """Give the GeoPackage form of a point.

    Notes
    -----
    Magic "GP", version 0, flags 1 (little-endian, no envelope), srs id, then little-endian WKB of a point.
    References: ogc_geopackage_1_3.
    """
    return None if place is None else _POINT.pack(b"GP", 0, 1, WGS84, 1, 1, *place)


def point_of(blob: bytes | None) -> LonLat | None:
    """Read the point back."""
    if blob is None:
        return None
    lon, lat = _POINT.unpack(blob)[-2:]
    return float(lon), float(lat)
