"""Fills the page round the map: times first, timetable, legend, cautions, and the content security policy.

The map itself is html_map.py's, the words of a stop are words.py's.
"""

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, get_args

import numpy as np
from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from hushwalk.morning.closing_in import ClosingIn
from hushwalk.morning.report import Report, Stop
from hushwalk.notes.figures import figure
from hushwalk.outputs.kit.cell_values import cell_values
from hushwalk.outputs.kit.content_security_policy import security_policy
from hushwalk.outputs.kit.crossing_signs import KEY, STYLE, crossing_lines, crossing_pins
from hushwalk.outputs.kit.detection_layers import detection_pins, detection_symbols
from hushwalk.outputs.kit.map_symbols import ground_symbols, stroke, style_symbol
from hushwalk.outputs.kit.page_layers import arrows, drawn_layers, grid_lines, height_labels, plain_drawing
from hushwalk.outputs.kit.palette import BANDS, COLOURS, cover_tone
from hushwalk.outputs.kit.pictures import Frame, on_page
from hushwalk.site.scene import Scene
from hushwalk.sources import cite
from hushwalk.types import FloatArray
from hushwalk.wording.card_of_bearings import CLOSING, READING, closing_lines, conduct_lines, reading_lines
from hushwalk.wording.caution_words import caution_sentences
from hushwalk.wording.closing_words import closing_at, closing_summary, latest_note, latest_words
from hushwalk.wording.credit_words import credit_line, credit_sentences
from hushwalk.wording.crossing_words import COLUMNS, HEAD, WHY
from hushwalk.wording.evening_words import moon_sentence
from hushwalk.wording.formats import (
    clock,
    headline,
    north_sentence,
    percent,
    promise,
    sentence,
    towards_short,
    walk_on,
)
from hushwalk.wording.going_words import going_parts
from hushwalk.wording.males_words import steps_sentences
from hushwalk.wording.measures import Measure, unit
from hushwalk.wording.morning_words import (
    assumption_sentences,
    listening_sentences,
    notice_sentences,
    plain_walk_sentence,
    proof_words,
    reason_words,
)
from hushwalk.wording.robustness_words import robustness_words
from hushwalk.wording.stop_words import stop_lines

MARGIN_M = 60.0
ON_PAPER = dict.fromkeys(("campaign.html", "season.html"), "The map below has no scale to walk by.") | {
    "page.html": "To walk by, print the sheet beside this page (sheet_a4.pdf or sheet_letter.pdf): true to scale.",
    "search.html": "To walk by, print the sheet beside this page (search_a4.pdf or search_letter.pdf): true to scale.",
}
RED_FILTER = (
    '<filter id="redlight" color-interpolation-filters="sRGB">'
    '<feColorMatrix values="-.21 -.72 -.07 0 1  0 0 0 0 0  0 0 0 0 0  0 0 0 1 0"/></filter>'
)
"""Turns a picture into red on black: dark becomes light, as on the rest of the page; green and blue are gone."""
RED_BUTTON = '<button id="night" type="button" aria-pressed="false" hidden>Red light</button>'
NOTE_SCRIPTS = ("qrcode.js", "note_store.js", "note_lines.js", "notes_out.js", "notes.js")
NORTHS = {"magnetic": "magnetic north", "true": "true north", "grid": "the north of the map grid"}
NOTED_SHARE = 0.8  # judgement: the ground that one would search first, as `hushwalk fix` draws it


def filled_page(report: Report, frame: Frame, pictures: dict[str, str], map_html: str, map_script: str) -> str:
    """Give the whole page of a morning.

    Parameters
    ----------
    report : the morning.
    frame : of the pictures.
    pictures : key -> data address.
    map_html, map_script : what folium made.

    Returns
    -------
    str
        HTML.
    """
    pins = [("", report.car.xy_m), *((str(stop.number), stop.place.xy_m) for stop in report.stops)]
    times = [clock(stop.arrive) for stop in report.stops]
    drawing = plain_drawing(
        drawn_layers(report), pins, lambda xy: frame.place(on_page(report.grid, xy)), frame.size_px, times
    )
    return filled(
        "page.html", page_data(report), _words(report), StaticMap(frame, pictures, drawing), map_html, map_script
    )


@dataclass(frozen=True)
class StaticMap:
    """What a page shows without scripts: pictures by key as data addresses, and the map as SVG over them."""

    frame: Frame
    pictures: dict[str, str]
    svg: str


def filled(
    template: str, data: dict[str, Any], words: dict[str, Any], drawing: StaticMap, map_html: str, map_script: str
) -> str:
    """Fill a template of a map page.

    Parameters
    ----------
    template : its file name.
    data : what the page's script reads.
    words : values of the template.
    drawing : what is shown without scripts.
    map_html, map_script : what folium made.

    Returns
    -------
    str
        HTML.

    Notes
    -----
    All words pass the template's escaping or stand in a JSON block in which ``<`` is escaped; the content security
    policy lets only scripts run whose SHA-256 stands in it, and no address load.
    """
    own = ["place.js", *(NOTE_SCRIPTS if "notes" in data else ()), "page.js"]
    light = asset("red_light.js")
    scripts = [asset("leaflet.js"), *map(asset, own), map_script]
    return _template(template).render(
        security_policy=Markup(security_policy([light, *scripts])),  # noqa: S704 - ours: hashes
        scripts=Markup("\n".join(f"<script>{text}</script>" for text in scripts)),  # noqa: S704 - vendored, ours
        leaflet_css=Markup(re.sub(r"url\(images/[^)]*\)", "none", asset("leaflet.css"))),  # noqa: S704 - vendored
        page_css=Markup(asset("page.css")),  # noqa: S704 - ours
        on_paper=ON_PAPER[template],
        red_light=Markup(light),  # noqa: S704 - ours
        red_filter=Markup(RED_FILTER),  # noqa: S704 - ours
        map_html=Markup(map_html),  # noqa: S704 - folium's one empty element
        data=Markup(_script_json(data)),  # noqa: S704 - escaped there
        leaflet_licence=Markup(asset("LICENSE_leaflet.txt").replace("--", "- -")),  # noqa: S704 - vendored
        picture={
            "cover": "",
            **{key: Markup(text) for key, text in drawing.pictures.items()},  # noqa: S704 - data addresses
            "drawing": Markup(drawing.svg),  # noqa: S704 - numbers only
            "width": drawing.frame.size_px[0],
            "height": drawing.frame.size_px[1],
        },
        colours=COLOURS,
        **words,
    )


def asset(name: str) -> str:
    """Read a text that is shipped with the package; the pointer to a source map is left out."""
    text = (files("hushwalk") / "outputs" / "assets" / name).read_text(encoding="utf-8")
    return re.sub(r"\n//# sourceMappingURL=.*", "", text)


def page_data(report: Report) -> dict[str, Any]:
    """Give what the page's script reads."""
    lines = [leg.line_m for leg in report.legs]
    latest = report.back_at_latest
    return {
        **scene_data(report, lines, [one.place.xy_m for one in report.crossings]),
        **({} if report.shared_grid_m is None else {"arrows": []}),  # nobody walks by it, and numbers tell the order
        "car": {
            "at": [report.car.lat_deg, report.car.lon_deg],
            "rows": [
                ["leave", clock(report.depart)],
                ["back without a try" if latest != report.back else "back", clock(report.back)],
                *([["back with all tries", clock(latest)]] if latest != report.back else []),
                ["place", report.car.usng],
            ],
        },
        "stops": [
            {
                "at": [stop.place.lat_deg, stop.place.lon_deg],
                "name": stop.place.name,
                "number": stop.number,
                "arrive": clock(stop.arrive),
                **_stop_words(report, stop),
            }
            for stop in report.stops
        ],
        "found": [*(detection_pins(report.detections) if report.detections else []), *crossing_pins(report)],
        "notes": _note_settings(report),
    }


def _note_settings(report: Report) -> dict[str, Any]:
    """Give what the notes on the page need: the walk they are of, the clock, the compass and how well one points."""
    settings, north = report.settings, report.north
    return {
        "walk": f"{report.depart:%Y-%m-%d} {report.car.lat_deg:.5f} {report.car.lon_deg:.5f}",
        "title": report.title,
        "day": f"{report.depart:%Y-%m-%d}",
        "time_zone": settings.morning.time_zone,
        "compass": settings.walker.compass[0].upper(),
        "declination_deg": north.declination_deg,
        "convergence_deg": north.convergence_deg,
        "sd_deg": settings.walker.bearing_error_deg,
        "limits": {
            "crossing_min_deg": figure("fix", "crossing_min_deg"),
            "far_m": figure("earshot", "cap_m"),
            "share": NOTED_SHARE,
        },
    }


def scene_data(scene: Scene, lines: list[FloatArray], also: Sequence[tuple[float, float]] = ()) -> dict[str, Any]:
    """Give what the page's script reads of the ground and of lines that are walked.

    Parameters
    ----------
    scene : the ground.
    lines : each of shape (n, 2) [m].
    also : further places that the whole walk shows [m].

    Returns
    -------
    dict
    """
    xy = np.concatenate([*lines, np.array([scene.car.xy_m, *also])])
    corners = on_page(scene.grid, np.array([xy.min(axis=0) - MARGIN_M, xy.max(axis=0) + MARGIN_M]))
    return {
        "whole": corners[:, ::-1].tolist(),
        "declination_deg": scene.north.declination_deg,
        "arrows": arrows(scene, lines),
        "heights": height_labels(scene),
        "lines": grid_lines(scene)[1],
        "why": cell_values(scene),
        "units": page_units(),
    }


def page_units() -> dict[str, Any]:
    """Give the units in which the page's script writes lengths, heights and how many stand on the ground."""
    sizes = {of: unit(of) for of in get_args(Measure)}
    spelt = {"km²": "square kilometre", "square miles": "square mile"}[sizes["wide"][0]]
    return {**sizes, "wide": (spelt, sizes["wide"][1])}


def _stop_words(report: Report, stop: Stop) -> dict[str, Any]:
    title = f"Stop {stop.number} ({stop.place.name}), {clock(stop.arrive)} to {clock(stop.leave)}"
    return {"title": title, "rows": stop_lines(report, stop), "why": list(reason_words(stop))}


def _words(report: Report) -> dict[str, Any]:
    return {
        "title": report.title,
        "bearing_sd": f"{report.settings.walker.bearing_error_deg:g}",
        "north_of_compass": NORTHS[report.settings.walker.compass],
        "whole": "Whole walk",
        "date": f"{report.depart:%A} {report.depart.day} {report.depart:%B %Y}",
        "species": report.species,
        "headline": headline(report),
        "going": (going := going_parts(report)),
        "promise": promise(report, with_males=going is None),
        "compared": f"For comparison: {plain_walk_sentence(report.plain)}.",
        "moon": moon_sentence(report),
        "notices": [sentence(line) for line in notice_sentences(report)],
        "timetable": _timetable(report),
        "closing": _closing(report.closing),
        "north": north_sentence(report.north),
        "bands": BANDS,
        "symbols": [(Markup(symbol), words) for symbol, words in _symbols(report)],  # noqa: S704 - ours
        "kinds": kinds_shown(report),
        "found": detection_pins(report.detections) if report.detections else [],
        "cautions": caution_sentences(report.cautions),
        "crossings": {"head": HEAD, "why": WHY, "columns": COLUMNS, "rows": crossing_lines(report)},
        "stops": [_stop_words(report, stop) for stop in report.stops],
        "steps": " ".join(
            steps_sentences(report.males.steps, report.males.expected, evening=report.evening is not None)
        ),
        "proof": sentence(proof_words(report.proof)),
        "robustness": [
            sentence(line) for line in (*listening_sentences(report.listening), *robustness_words(report.robustness))
        ],
        "assumptions": [sentence(line) for line in assumption_sentences(report)],
        "stories": [sentence(line) for line in report.layer_stories],
        "credits": [sentence(line) for line in credit_sentences(report.country.credits)],
        "credit_line": credit_line(report.country.credits),
        "sources": [cite(key) for key in report.source_keys],
        "seed": report.settings.seed,
    }


def _closing(closing: ClosingIn | None) -> dict[str, Any]:
    """Give what the page says about closing in, and the cards; empty where it is not spoken of."""
    if closing is None:
        return {}
    return {
        "note": latest_note(closing),
        "summary": closing_summary(closing, times_apart=True),
        "cards": ((READING, reading_lines()), (CLOSING, (*closing_lines(), *conduct_lines()))),
    }


def kinds_shown(scene: Scene) -> list[tuple[str, str]]:
    """Give tone and label of the cover kinds that are on the ground."""
    if scene.country.cover is None:
        return []
    values = scene.country.cover.values
    parts = [parts for code, parts in scene.country.kinds.items() if bool((values == code).any())]
    return [(cover_tone(key), label) for key, label in parts]


def _timetable(report: Report) -> list[dict[str, Any]]:
    stops = {stop.place.name: stop for stop in report.stops}
    rows = [_car_row("", clock(report.depart))]
    for leg in report.legs:
        rows.append({"leg": f"to {leg.end}: {walk_on(leg)}"})
        rows.append(_stop_row(report, stops[leg.end]) if leg.end in stops else _car_row(clock(leg.arrive), ""))
    return rows


def _stop_row(report: Report, stop: Stop) -> dict[str, Any]:
    closing = closing_at(report.closing, stop.place.name)
    return {
        "leg": "",
        "number": stop.number,
        "arrive": clock(stop.arrive),
        "leave": clock(stop.leave),
        "towards": towards_short(stop),
        "chance": percent(stop.chance_any),
        "latest": clock(stop.latest_leave),
        "until": latest_words(closing.times) if report.closing and closing else "",
    }


def _car_row(arrive: str, leave: str) -> dict[str, Any]:
    row = {"leg": "", "number": None, "arrive": arrive, "leave": leave, "towards": "", "chance": "", "latest": ""}
    return {**row, "until": ""}


def _symbols(report: Report) -> list[tuple[str, str]]:
    own = [
        (stroke(COLOURS["walk"], 4), "the walk, arrows show the way"),
        (stroke(COLOURS["earshot"], 1.6, "2 5"), "half of the displays inside are heard"),
    ]
    if report.closing:
        own.append((stroke(COLOURS["bird"], 2.2, "1 5"), "quiet way in to likely ground (switched off at first)"))
    if report.crossings:
        own.append(style_symbol(STYLE, KEY))
    found = detection_symbols(report.detections) if report.detections else []
    return [
        *own,
        *(style_symbol(style, words) for style, words in found),
        *ground_symbols(houses=bool(report.country.buildings)),
    ]


def _script_json(data: dict[str, Any]) -> str:
    text = json.dumps(data, allow_nan=False, separators=(",", ":"), ensure_ascii=True)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("hushwalk.outputs"), autoescape=True, undefined=StrictUndefined, trim_blocks=True
    )


def _template(name: str) -> Template:
    return _environment().get_template(name)
