"""Finds the table of class names that lies beside a raster: an attribute table (.vat.dbf) or a .csv.

What a name means is cover.py's business.
"""

import csv
from collections.abc import Mapping
from pathlib import Path

import pyogrio

from hushwalk.files.offline import reach

VALUE, NAMES = ("value", "evt_value", "lf_evt_value"), ("evt_name", "classname", "classnames", "class_name")
"""Definition: columns of the tables that LANDFIRE delivers, in lower case."""


def class_names_of(raster: str) -> Mapping[int, str]:
    """Read the names of classes beside a raster.

    Parameters
    ----------
    raster : its path.

    Returns
    -------
    dict
        Class code -> name; empty where no table with names lies there.
    """
    path = Path(raster)
    tables = (path.with_name(f"{path.name}.vat.dbf"), path.with_suffix(".vat.dbf"), path.with_suffix(".csv"))
    for table in tables:
        if table.is_file():
            found = _named(_rows(table))
            if found:
                return found
    return {}


def _rows(table: Path) -> list[dict[str, str]]:
    if table.suffix == ".csv":
        with table.open(encoding="utf-8-sig", newline="") as file:
            return list(csv.DictReader(file))
    with reach(network=False):
        meta, _, _, columns = pyogrio.raw.read(table, read_geometry=False)
    return [dict(zip(meta["fields"], map(str, row), strict=True)) for row in zip(*columns, strict=True)]


def _named(rows: list[dict[str, str]]) -> dict[int, str]:
    found = {}
    for row in rows:
        lower = {str(key).strip().lower(): value for key, value in row.items()}
        code = next((lower[key] for key in VALUE if lower.get(key)), None)
        name = next((lower[key] for key in NAMES if lower.get(key)), None)
        if code is not None and name and code.removesuffix(".0").lstrip("-").isdigit():
            found[int(code.removesuffix(".0"))] = name
    return found
