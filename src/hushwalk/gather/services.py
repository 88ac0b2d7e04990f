"""The open data services that can be asked: the table of data/services.toml, and the one way to an address.

How a service of each family answers is the business of the other files of this room.
"""

import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Literal
from urllib.parse import urlsplit

from hushwalk.errors import MissingFileError, SettingsError

Family = Literal["cog", "image", "features", "overpass", "extract", "forecast"]
OWN_TABLE = "HUSHWALK_SERVICES"
"""Environment variable: a TOML file whose tables stand in for, or add to, those of data/services.toml."""


@dataclass(frozen=True)
class Service:
    """One open data service.

    Parameters
    ----------
    key, label : its name in the table, and as people know it.
    kind : of layer that it gives; ``"osm"`` for one that gives many.
    family : how it is asked.
    address, mirrors : patterns of its address, and of others that give the same.
    source, certainty : where the address was read, and how many say so: A, B or C.
    licence, licence_link, credit : terms, and the sentence that must go with what is made of it.
    edition, data_date : which edition is asked for, and of when its data are; empty if unknown.
    example : latitude and longitude of a place that it covers [deg].
    mb_per_100km2 : about what an answer weighs [MB].
    note : what a person should know of it.
    tile_deg, corner, tile_zoom : how files are cut: whole degrees named by a corner, or quad keys of a zoom.
    epsg, origin_m, snap_m : system in which cells are asked for, where their edges lie in it, and how far apart the
        edges of what is asked for stand; as far as cells if not given [m].
    cell_m : cells that are taken [m].
    most_cells : most columns and rows of one answer.
    nodata, most_value : cells that mean "unknown", and the highest that is a value.
    plus : is added to every value.
    measured, averaged : whether cells are measures, not classes; whether many small ones are averaged.
    least_valid : share of known cells below which another service is tried, 0..1.
    legend, unit, where : keys for the layer in a trip file.
    fields : of features that are wanted.
    query : text that is posted.
    keep_days : for how long a kept answer holds; for ever if not given.
    """

    key: str
    label: str
    kind: str
    family: Family
    address: str
    source: str
    certainty: str
    licence: str
    licence_link: str
    credit: str
    edition: str
    example: tuple[float, float]
    mb_per_100km2: float
    mirrors: tuple[str, ...] = ()
    data_date: str = ""
    note: str = ""
    tile_deg: int | None = None
    corner: Literal["south-west", "north-west"] = "south-west"
    tile_zoom: int | None = None
    epsg: int | None = None
    origin_m: float = 0.0
    snap_m: float = 0.0
    cell_m: float = 30.0
    most_cells: int = 2000
    nodata: float | None = None
    most_value: float | None = None
    plus: int = 0
    measured: bool = False
    averaged: bool = False
    least_valid: float = 0.0
    legend: str = ""
    unit: str = ""
    where: str = ""
    fields: tuple[str, ...] = ()
    query: str = ""
    keep_days: float | None = None

    @property
    def patterns(self) -> tuple[str, ...]:
        """The address and its mirrors, in the order in which they are tried."""
        return (self.address, *self.mirrors)


def services() -> Mapping[str, Service]:
    """Give every service by its key, those of a person's own table included.

    Raises
    ------
    MissingFileError, SettingsError
        If a person's own table is not there, or says something that is not understood.
    """
    return _services(os.environ.get(OWN_TABLE, ""))


def service(key: str) -> Service:
    """Give one service.

    Raises
    ------
    SettingsError
        If there is none of that name.
    """
    try:
        return services()[key]
    except KeyError:
        raise SettingsError(f"there is no service {key!r}; the table has {', '.join(services())}") from None


def defaults(region: str) -> Mapping[str, tuple[tuple[str, ...], ...]]:
    """Give which services to try for each kind of layer.

    Parameters
    ----------
    region : ``"us"``, ``"us_beyond"``, ``"ca"``, ``"europe"`` or ``"world"``.

    Returns
    -------
    Mapping
        Kind of layer -> choices, the best first; all services of a choice belong together.

    Examples
    --------
    >>> defaults("ca")["cover"][1]
    ('worldcover', 'forest_type_2019')
    """
    rows = _tables(os.environ.get(OWN_TABLE, ""))["defaults"][region]
    return {kind: tuple(tuple(choice.split(" + ")) for choice in choices) for kind, choices in rows.items()}


def european_countries() -> frozenset[str]:
    """Give the two letters of each country for which the European row of the defaults holds."""
    return frozenset(_tables(os.environ.get(OWN_TABLE, ""))["europe"]["countries"].split())


def address(pattern: str, **names: Any) -> str:  # noqa: ANN401  whatever stands in an address
    """Build an address of a service from its pattern.

    Every address that the program asks passes through here, those of :func:`Service.patterns`, or through
    :func:`redirected`, those that a service gives in its answers.

    Raises
    ------
    SettingsError
        If the pattern names something that is not given.

    Examples
    --------
    >>> address("https://host.org/{NS}{lat:02d}.tif", NS="N", lat=7)
    'https://host.org/N07.tif'
    """
    try:
        full = pattern.format(**names)
    except (KeyError, ValueError, IndexError) as fault:
        raise SettingsError(f"the address {pattern!r} names {fault}, which nobody gives here") from None
    return redirected(full)


def redirected(full: str) -> str:
    """Put the host of a person's own table in place of that of an address.

    ``[hosts]`` of the table of ``HUSHWALK_SERVICES`` says ``"host.org" = "http://127.0.0.1:8000/host.org"``; the row
    ``"*"`` is for all others, with ``{host}`` for their name.

    Raises
    ------
    SettingsError
        If the address is none of the web.
    """
    parts = urlsplit(full)
    if parts.scheme not in {"http", "https"} or not parts.netloc:
        raise SettingsError(f"{full!r} is no address on the web")
    hosts = _tables(os.environ.get(OWN_TABLE, "")).get("hosts", {})
    stand_in = hosts.get(parts.netloc) or hosts.get("*")
    if stand_in is None or full.startswith(stand_in.partition("{host}")[0]):
        return full
    return str(stand_in).format(host=parts.netloc) + full.partition(parts.netloc)[2]


@cache
def _services(own: str) -> Mapping[str, Service]:
    found = {}
    for key, row in _tables(own)["service"].items():
        lists = {name: tuple(value) for name, value in row.items() if isinstance(value, list)}
        try:
            found[key] = Service(key=key, **{**row, **lists})
        except TypeError as fault:
            raise SettingsError(f"service {key} of the table cannot be read: {fault}") from None
    return found


@cache
def _tables(own: str) -> dict[str, Any]:
    tables = tomllib.loads((files("hushwalk") / "data" / "services.toml").read_text(encoding="utf-8"))
    tables["defaults"].pop("source")
    if not own:
        return tables
    try:
        added = tomllib.loads(Path(own).read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise MissingFileError(
            f"{OWN_TABLE} names {own}, which is not there; mend it, or take the variable away"
        ) from None
    except (OSError, ValueError) as fault:
        raise SettingsError(f"{OWN_TABLE} names {own}, which cannot be read: {fault}") from None
    for name, rows in added.items():
        held = tables.setdefault(name, {})
        for key, row in rows.items():
            held[key] = {**held.get(key, {}), **row} if isinstance(row, dict) else row
    return tables
