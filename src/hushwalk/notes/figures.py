"""Figures for what people hear and note in the field, read once from data/tables/field.toml.

What they are used for is said at each function; where they come from stands in the table itself.
"""

import tomllib
from functools import cache
from importlib.resources import files

from hushwalk.errors import SettingsError


@cache
def _table() -> dict[str, dict[str, float | str]]:
    path = files("hushwalk") / "data" / "tables" / "field.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


def figure(section: str, key: str) -> float:
    """Give one figure.

    Parameters
    ----------
    section, key : as in data/tables/field.toml.

    Raises
    ------
    SettingsError
        If there is no such figure.

    Examples
    --------
    >>> figure("bearing", "sd_deg")
    15.0
    """
    try:
        return float(_table()[section][key])
    except (KeyError, ValueError):
        raise SettingsError(f"no figure {key!r} under [{section}] in the table of field figures") from None
