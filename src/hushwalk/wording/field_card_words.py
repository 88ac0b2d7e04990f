"""The card for the hide in words: silence, microphone, cold, dew, seat and tripod.

The words are those of data/tables/filming_card.toml, where each has its source.
"""

import tomllib
from functools import cache
from importlib.resources import files

from hushwalk.filming.session_report import SessionReport
from hushwalk.filming.sessions import hours_table


@cache
def _card() -> dict[str, dict[str, str]]:
    text = (files("hushwalk") / "data" / "tables" / "filming_card.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def card_lines(report: SessionReport) -> tuple[str, ...]:
    """Give the card, one line a thing; the cold is left out where it is warm."""
    warm = report.air_c > hours_table()["cold"]["still_c"]
    return tuple(row["words"] for name, row in _card().items() if not (warm and name == "cold"))
