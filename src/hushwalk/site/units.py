"""In which units people read lengths, areas and warmth: those the trip file names, or those of the country.

Facts are in SI everywhere; how they are written is wording/measures.py's business.
"""

from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Literal, get_args

from hushwalk.errors import HushwalkError
from hushwalk.site.toml_text import settings_text, tables_of

Units = Literal["metric", "us"]

US_COUNTRY = "US"  # definition: ISO 3166 code of the United States, as the zone table of the IANA writes it


@cache
def us_zones() -> frozenset[str]:
    """Give the names of the time zones of the United States.

    References
    ----------
    iana_time_zones
    """
    rows = (files("tzdata") / "zoneinfo" / "zone.tab").read_text(encoding="utf-8").splitlines()
    return frozenset(row.split("\t")[2] for row in rows if row.startswith(f"{US_COUNTRY}\t"))


def units_of(named: Units | None, time_zone: str) -> Units:
    """Give the units that a file names; where it names none, those of the country whose clock it goes by.

    Examples
    --------
    >>> units_of(None, "America/Chicago"), units_of(None, "America/Toronto"), units_of("metric", "America/Chicago")
    ('us', 'metric', 'metric')
    """
    return named or ("us" if time_zone in us_zones() else "metric")


def units_in(path: Path) -> Units:
    """Give the units in which the owner of a trip file or an area file reads; metric where the file cannot be read.

    What is wrong with the file says whoever reads it whole.
    """
    try:
        tables = tables_of(settings_text(path, ""), str(path))
        named = tables.get("units")
        known: Units | None = named if named in get_args(Units) else None
        return known or units_of(None, _zone(tables))
    except (HushwalkError, LookupError, TypeError, ValueError, AttributeError):
        return "metric"


def _zone(tables: dict[str, Any]) -> str:
    """Give the time zone of the morning of a file, or else of the car or of the middle of the region."""
    from hushwalk.grid.points import parse_place  # noqa: PLC0415 - most files name their zone
    from hushwalk.site.time_zone import zone_at  # noqa: PLC0415

    said = tables["morning"].get("time_zone")
    if said or "place" in tables:
        return str(said or zone_at(*parse_place(tables["place"]["car"])))
    west, south, east, north = tables["region"]["bounds"]
    return zone_at((west + east) / 2, (south + north) / 2)
