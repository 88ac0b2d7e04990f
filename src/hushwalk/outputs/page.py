"""Fills the page round the map: times first, timetable, legend, cautions, and the seal against foreign scripts.

The map itself is html_map.py's, the words of a stop are words.py's.
"""

import base64
import hashlib
import json
import re
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from jinja2 import Environment, StrictUndefined, Template
from markupsafe import Markup

from hushwalk.outputs.page_layers import arrows, grid_lines, height_labels, plain_drawing
from hushwalk.outputs.palette import BANDS, INK, cover_tone
from hushwalk.outputs.pictures import Frame, on_page
from hushwalk.outputs.stop_words import stop_lines
from hushwalk.outputs.why_here import why_here
from hushwalk.outputs.words import clock, headline, percent, promise, sentence, towards_short, walk_on
from hushwalk.sources import cite
from hushwalk.trip.report import Report, Stop

MARGIN_M = 60.0


def filled_page(report: Report, frame: Frame, pictures: dict[str, str], map_html: str, map_script: str) -> str:
    """Give the whole page.

    Parameters
    ----------
    report : the morning.
    frame : of the pictures.
    pictures : key -> data address.
    map_html, map_script : what folium made.

    Notes
    -----
    All words of the report pass the template's escaping or stand in a JSON block in which ``<`` is escaped; the
    content security policy lets only scripts run whose SHA-256 stands in it, and no address load.
    """
    scripts = [asset("leaflet.js"), asset("place.js"), asset("page.js"), map_script]
    drawing = plain_drawing(report, lambda xy: frame.place(on_page(report.grid, xy)), frame.size_px)
    return _template("page.html").render(
        seal=Markup(_seal(scripts)),  # noqa: S704 - ours: hashes
        scripts=Markup("\n".join(f"<script>{text}</script>" for text in scripts)),  # noqa: S704 - vendored, ours
        leaflet_css=Markup(re.sub(r"url\(images/[^)]*\)", "none", asset("leaflet.css"))),  # noqa: S704 - vendored
        page_css=Markup(asset("page.css")),  # noqa: S704 - ours
        map_html=Markup(map_html),  # noqa: S704 - folium's one empty element
        data=Markup(_script_json(page_data(report))),  # noqa: S704 - escaped there
        leaflet_licence=Markup(asset("LICENSE_leaflet.txt").replace("--", "- -")),  # noqa: S704 - vendored
        picture={
            "cover": "",
            **{key: Markup(text) for key, text in pictures.items()},  # noqa: S704 - data addresses
            "drawing": Markup(drawing),  # noqa: S704 - numbers only
            "width": frame.size_px[0],
            "height": frame.size_px[1],
        },
        **_words(report),
    )


def asset(name: str) -> str:
    """Read a text that is shipped with the package; the pointer to a source map is left out."""
    text = (files("hushwalk") / "outputs" / "assets" / name).read_text(encoding="utf-8")
    return re.sub(r"\n//# sourceMappingURL=.*", "", text)


def page_data(report: Report) -> dict[str, Any]:
    """Give what the page's script reads."""
    xy = np.concatenate([leg.line_m for leg in report.legs] or [np.array([report.car.xy_m])])
    corners = on_page(report.grid, np.array([xy.min(axis=0) - MARGIN_M, xy.max(axis=0) + MARGIN_M]))
    return {
        "whole": corners[:, ::-1].tolist(),
        "declination_deg": report.north.declination_deg,
        "car": {
            "at": [report.car.lat_deg, report.car.lon_deg],
            "rows": [["leave", clock(report.depart)], ["back", clock(report.back)], ["place", report.car.usng]],
        },
        "stops": [
            {
                "at": [stop.spot.lat_deg, stop.spot.lon_deg],
                "number": stop.number,
                "arrive": clock(stop.arrive),
                **_stop_words(report, stop),
            }
            for stop in report.stops
        ],
        "arrows": arrows(report),
        "heights": height_labels(report),
        "lines": grid_lines(report)[1],
        "why": why_here(report),
    }


def _stop_words(report: Report, stop: Stop) -> dict[str, Any]:
    title = f"Stop {stop.number} ({stop.spot.name}), {clock(stop.arrive)} to {clock(stop.leave)}"
    return {"title": title, "rows": stop_lines(report, stop), "why": list(stop.why)}


def _words(report: Report) -> dict[str, Any]:
    kinds = _kinds_shown(report)
    return {
        "title": report.title,
        "date": f"{report.depart:%A} {report.depart.day} {report.depart:%B %Y}",
        "species": report.species,
        "headline": headline(report),
        "promise": promise(report),
        "compared": f"For comparison: {report.plain.sentence}.",
        "moon": report.sun.moon.rstrip("."),
        "notices": [sentence(line) for line in report.notices],
        "timetable": _timetable(report),
        "north": report.north.sentence,
        "bands": BANDS,
        "signs": [(Markup(sign), words) for sign, words in _signs()],  # noqa: S704 - ours
        "kinds": [(cover_tone(key), label) for key, label in kinds],
        "cautions": report.cautions,
        "stops": [_stop_words(report, stop) for stop in report.stops],
        "proof": sentence(report.proof.sentence),
        "robustness": [sentence(line) for line in (*report.listening, *report.robustness)],
        "assumptions": [sentence(line) for line in report.assumptions],
        "stories": [sentence(line) for line in report.layer_stories],
        "sources": [cite(key) for key in report.source_keys],
        "seed": report.settings.seed,
        "ink": INK,
    }


def _kinds_shown(report: Report) -> list[tuple[str, str]]:
    if report.country.cover is None:
        return []
    values = report.country.cover.values
    return [told for code, told in report.country.kinds.items() if bool((values == code).any())]


def _timetable(report: Report) -> list[dict[str, Any]]:
    stops = {stop.spot.name: stop for stop in report.stops}
    rows = [_car_row("", clock(report.depart))]
    for leg in report.legs:
        rows.append({"leg": f"to {leg.end}: {walk_on(leg)}"})
        rows.append(_stop_row(stops[leg.end]) if leg.end in stops else _car_row(clock(leg.arrive), ""))
    return rows


def _stop_row(stop: Stop) -> dict[str, Any]:
    return {
        "leg": "",
        "number": stop.number,
        "arrive": clock(stop.arrive),
        "leave": clock(stop.leave),
        "towards": towards_short(stop),
        "chance": percent(stop.chance_any),
        "latest": clock(stop.latest_leave),
    }


def _car_row(arrive: str, leave: str) -> dict[str, Any]:
    return {"leg": "", "number": None, "arrive": arrive, "leave": leave, "towards": "", "chance": "", "latest": ""}


def _signs() -> list[tuple[str, str]]:
    def stroke(colour: str, width: float, dash: str = "") -> str:
        return (
            f'<svg aria-hidden="true"><path d="M0 9h34" stroke="{colour}" stroke-width="{width}" '
            f'stroke-dasharray="{dash}"/></svg>'
        )

    def box(fill: str, edge: str) -> str:
        return f'<svg aria-hidden="true"><rect x="1" y="1" width="32" height="16" fill="{fill}" stroke="{edge}"/></svg>'

    return [
        (stroke(INK["walk"], 4), "the walk, arrows show the way"),
        (stroke(INK["earshot"], 1.6, "2 5"), "half of the displays inside are heard"),
        (stroke(INK["trail"], 2.2, "9 5"), "trail"),
        (stroke(INK["road"], 3.5), "road"),
        (stroke(INK["stream"], 2.2), "stream"),
        (box("url(#wet)", INK["wetland"]), "wet ground"),
        (box("url(#hatch)", INK["closed"]), "closed ground: keep out"),
        (stroke(INK["contour"], 1.8), "contour line, height in metres"),
    ]


def _seal(scripts: list[str]) -> str:
    hashes = " ".join(
        f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'" for text in scripts
    )
    policy = (
        f"default-src 'none'; script-src {hashes}; style-src 'unsafe-inline'; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )
    return f'<meta http-equiv="Content-Security-Policy" content="{policy}">'


def _script_json(data: dict[str, Any]) -> str:
    text = json.dumps(data, allow_nan=False, separators=(",", ":"), ensure_ascii=True)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


@cache
def _environment() -> Environment:
    return Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True)


def _template(name: str) -> Template:
    text = (files("hushwalk") / "outputs" / "templates" / name).read_text(encoding="utf-8")
    return _environment().from_string(text)
