"""The area report as one page that opens without a signal: ranked table, small maps at one scale, reasons, access.

The maps are drawn by area_map.py, the words are those of wording/area_words.py.
"""

from html import escape

from hushwalk.outputs.kit.content_security_policy import security_policy
from hushwalk.outputs.kit.palette import BANDS
from hushwalk.outputs.regions.area_canvas import HATCH, svg_of
from hushwalk.outputs.regions.area_map import (
    Drawing,
    key_drawing,
    one_scale,
    overview_drawing,
    plate_drawing,
    signs_shown,
)
from hushwalk.outputs.walk.walk_page import RED_BUTTON, RED_FILTER, asset
from hushwalk.regions.area_report import Areas, Plate
from hushwalk.wording.area_words import (
    SIGNS,
    cells,
    columns,
    lead,
    place_text,
    scale_text,
    title,
    trust,
    unranked_lines,
    warning_lines,
)
from hushwalk.wording.caution_words import caution_sentences
from hushwalk.wording.formats import sentence
from hushwalk.wording.plate_words import plate_words


def area_page(areas: Areas) -> str:
    """Write the report.

    Parameters
    ----------
    areas : ranked, with a closer look at the best.

    Returns
    -------
    str
        HTML 5 with one script, for red light; nothing is fetched from anywhere, and the same areas give the same text.
    """
    scale = one_scale(areas.plates)
    name, light = escape(title(areas)), asset("red_light.js")
    body = "".join(
        (
            '<a class="skip" href="#ranked">To the ranked places</a>',
            f'<svg width="0" height="0" aria-hidden="true" class="defs"><defs>{HATCH}{RED_FILTER}</defs></svg>',
            f"<header>{RED_BUTTON}<h1>{name}</h1><p>{escape(lead(areas))}</p>",
            *(f"<p><strong>{escape(sentence(words))}</strong></p>" for words in warning_lines(areas)),
            "</header><main>",
            _figure(overview_drawing(areas), "The region: numbers are the places below, rings all others", "wide"),
            _bands(),
            '<h2 id="ranked">Ranked places</h2>',
            _table(areas),
            _unranked(areas),
            f"<h2>The best {len(areas.plates)}, all maps at one scale</h2>",
            _key(areas),
            "".join(_card(plate, areas, plate_drawing(plate, scale)) for plate in areas.plates),
            "<h2>Before you go</h2>",
            _list(caution_sentences(areas.cautions)),
            "<h2>How far to trust it</h2>",
            _list(trust(areas)),
            f'<p class="quiet">On paper {scale_text(scale)}; lines 1 km apart, grid north up.</p></main>',
        )
    )
    return (
        f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        f"{security_policy([light])}"
        f'<meta name="viewport" content="width=device-width, initial-scale=1"><title>{name}</title>'
        f'<link rel="icon" href="data:,"><style>{asset("page.css")}{asset("areas.css")}</style>'
        f"<script>{light}</script></head><body>{body}</body></html>\n"
    )


def _figure(drawing: Drawing, caption: str, kind: str) -> str:
    return f'<figure class="{kind} drawn">{svg_of(drawing)}<figcaption>{escape(caption)}</figcaption></figure>'


def _bands() -> str:
    text = "".join(f'<li><i style="background:{band.colour}"></i>{band.word}</li>' for band in BANDS)
    return f'<p>How good the ground is for the bird</p><ul class="bands">{text}</ul>'


def _key(areas: Areas) -> str:
    shown = [(sign, SIGNS[sign]) for sign in signs_shown(areas.plates)]
    text = "".join(f"<li>{svg_of(key_drawing(sign))}{escape(words)}</li>" for sign, words in shown)
    return f'<ul class="key">{text}</ul>'


def _table(areas: Areas) -> str:
    looked = {plate.area.rank for plate in areas.plates}
    heads = columns(areas)[1:]
    head = "".join(f'<th scope="col">{escape(word)}</th>' for word in columns(areas))
    rows = []
    for area in areas.areas:
        number, *rest = cells(area)
        linked = f'<a href="#area{number}">{number}</a>' if area.rank in looked else number
        row = "".join(
            f'<td data-name="{escape(name)}">{escape(word)}</td>' for name, word in zip(heads, rest, strict=True)
        )
        rows.append(f'<tr><th scope="row">{linked}</th>{row}</tr>')
    return (
        '<div class="scroll" tabindex="0" role="region" aria-label="Ranked places"><table class="cards short">'
        f"<thead><tr>{head}</tr></thead><tbody>{''.join(rows)}</tbody></table></div>"
    )


def _unranked(areas: Areas) -> str:
    lines = unranked_lines(areas)
    return f"<h3>Left out</h3>{_list(lines)}" if lines else ""


def _card(plate: Plate, areas: Areas, drawing: Drawing) -> str:
    area, words = plate.area, plate_words(plate, areas)
    return (
        f'<section class="card" id="area{area.rank}" aria-labelledby="name{area.rank}">'
        f'<figure class="drawn">{svg_of(drawing)}</figure>'
        f'<div><h3 id="name{area.rank}">{area.rank}. {escape(area.place.name)}</h3>'
        f"<h4>What makes it good</h4>{_list(words.good)}<h4>What holds it back</h4>{_list(words.held_back)}"
        f"<h4>Land</h4><p>{escape(sentence(words.land))}</p><h4>Access</h4><p>{escape(sentence(words.access))}</p>"
        f'<p class="quiet">{escape(place_text(plate))}</p></div></section>'
    )


def _list(lines: tuple[str, ...]) -> str:
    return f"<ul>{''.join(f'<li>{escape(sentence(line))}</li>' for line in lines)}</ul>"
