"""The desk's one page: its frame, styles and scripts, all inside, and the policy that lets nothing else run.

What the page shows comes from the rooms; how it is drawn is assets/*.js.
"""

import base64
import hashlib
import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from hushwalk.outputs.kit.detection_layers import bird_symbols
from hushwalk.outputs.kit.map_symbols import ground_symbols, stroke, style_symbol
from hushwalk.outputs.kit.palette import BANDS, COLOURS
from hushwalk.outputs.walk.walk_page import RED_FILTER, asset

STYLES = ("desk.css", "rooms.css")
SHARED = ("asking.js", "desk_map.js", "drawing.js", "walk_layer.js", "history.js", "drawn.js")
SCRIPTS = (*SHARED, "country.js", "morning.js", "notes.js", "take.js", "desk.js")
"""One script a room, and those that all rooms share; the last one starts the page."""


@dataclass(frozen=True)
class DeskPage:
    """The page and its content security policy."""

    html: str
    policy: str


@cache
def desk_page(page_key: str) -> DeskPage:
    """Give the page that holds a key."""
    styles = [re.sub(r"url\(images/[^)]*\)", "none", asset("leaflet.css")), *map(_own, STYLES)]
    scripts, red_light = [asset("leaflet.js"), asset("place.js"), *map(_own, SCRIPTS)], asset("red_light.js")
    environment = Environment(loader=PackageLoader("hushwalk.desk"), autoescape=True, undefined=StrictUndefined)
    html = environment.get_template("desk.html").render(
        key=page_key,
        red_light=Markup(red_light),  # noqa: S704 - ours
        red_filter=Markup(RED_FILTER),  # noqa: S704 - ours
        styles=Markup("\n".join(f"<style>{text}</style>" for text in styles)),  # noqa: S704 - vendored, ours
        scripts=Markup("\n".join(f"<script>{text}</script>" for text in scripts)),  # noqa: S704 - vendored, ours
        licence=Markup(asset("LICENSE_leaflet.txt").replace("--", "- -")),  # noqa: S704 - vendored
        colours=COLOURS,
        bands=BANDS,
        symbols=[(Markup(symbol), words) for symbol, words in _symbols()],  # noqa: S704 - ours
    )
    ours = [red_light, *scripts]
    policy = (
        f"default-src 'none'; script-src {_hashes(ours)}; style-src {_hashes(styles)}; img-src 'self' data:; "
        "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
    return DeskPage(html, policy)


def _symbols() -> list[tuple[str, str]]:
    """Give what the map of any room may show."""
    return [
        (stroke(COLOURS["walk"], 4), "the walk, arrows show the way"),
        (stroke(COLOURS["earshot"], 1.6, "2 5"), "half of the displays inside are heard"),
        *(style_symbol(style, words) for style, words in bird_symbols()),
        *ground_symbols(houses=True),
    ]


def _own(name: str) -> str:
    return (files("hushwalk") / "desk" / "assets" / name).read_text(encoding="utf-8")


def _hashes(texts: list[str]) -> str:
    return " ".join(f"'sha256-{base64.b64encode(hashlib.sha256(t.encode()).digest()).decode()}'" for t in texts)
