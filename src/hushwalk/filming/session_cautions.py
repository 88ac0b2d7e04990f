"""The cautions for sitting at a log, chosen from the settings.

The cautions of a walk are site/cautions.py's.
"""

import tomllib
from functools import cache
from importlib.resources import files

from hushwalk.filming.sessions import hours_table, rest_rule
from hushwalk.science.wind_chill import FROSTBITE_C, wind_chill_c
from hushwalk.site.settings import TripSettings


@cache
def _cautions() -> dict[str, dict[str, str]]:
    text = (files("hushwalk") / "data" / "tables" / "filming_cautions.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def session_cautions(settings: TripSettings, *, evening: bool) -> tuple[str, ...]:
    """Give the cautions for sitting at a log, one sentence or two each."""
    weather = settings.weather
    chill = float(wind_chill_c(weather.temperature_c, weather.wind_at_ear_ms))
    row, rest = rest_rule()
    keys = ["tell", "dark", "bird", "rest", "hunting", "permits", "place"]
    if weather.temperature_c <= hours_table()["cold"]["still_c"] or evening:
        keys.insert(2, "cold")
    if chill <= FROSTBITE_C:
        keys.insert(0, "frostbite")
    if (
        weather.snow != "none"
        or weather.snow_cover_share > 0
        or weather.temperature_c <= hours_table()["cold"]["still_c"]
    ):
        keys.insert(2, "ice")
    return tuple(_cautions()[key]["words"].format(chill=chill, row=row, rest=rest) for key in keys)
