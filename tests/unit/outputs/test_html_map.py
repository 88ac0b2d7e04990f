import base64
import hashlib
import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from importlib.resources import files

import pytest

from hushwalk.morning.report import Report, StopReasons
from hushwalk.outputs.kit.palette import BANDS
from hushwalk.outputs.walk.walk_map import map_page
from hushwalk.wording.caution_words import caution_sentences
from hushwalk.wording.measures import written_in

ASSETS = files("hushwalk") / "outputs" / "assets"
# checksums of npm leaflet@1.9.4, qrcode-generator@2.0.4 and dejavu-fonts-ttf@2.37.3; the archives were held against the
# registry's own
VENDORED = {
    "leaflet.js": "db49d009c841f5ca34a888c96511ae936fd9f5533e90d8b2c4d57596f4e5641a",
    "leaflet.css": "a7837102824184820dfa198d1ebcd109ff6d0ff9a2672a074b9a1b4d147d04c6",
    "qrcode.js": "79ec86f82856005b1c887905cfccfcfbec3821ca61c7fd5a952faa5f778f791c",
    "DejaVuSans.ttf": "7da195a74c55bef988d0d48f9508bd5d849425c1770dba5d7bfc6ce9ed848954",
    "DejaVuSans-Bold.ttf": "e6476c1b80502924294eed40894c5b18e06c181444ca953e5334262df9c27724",
}


class Read(HTMLParser):
    """Collects scripts, addresses and words of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.scripts: list[str] = []
        self.addresses: list[str] = []
        self.attributes: set[str] = set()
        self.words = ""
        self._in = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.attributes |= {key for key, _ in attrs}
        self.addresses += [value or "" for key, value in attrs if key in {"src", "href", "action", "data"}]
        self._in = tag if tag in {"script", "style"} else ""
        if tag == "script" and ("type", "application/json") not in attrs:
            self.scripts.append("")
        elif tag == "script":
            self._in = "json"

    def handle_endtag(self, _: str) -> None:
        self._in = ""

    def handle_data(self, data: str) -> None:
        if self._in == "script":
            self.scripts[-1] += data
        elif not self._in:
            self.words += data


@pytest.fixture(scope="module")
def page(report: Report) -> str:
    return map_page(report)


@pytest.mark.parametrize("name", VENDORED)
def test_what_is_vendored_is_what_was_published(name: str) -> None:
    assert hashlib.sha256((ASSETS / name).read_bytes()).hexdigest() == VENDORED[name]


@pytest.mark.parametrize("name", ["leaflet.js", "qrcode.js"])
def test_what_is_vendored_cannot_break_out_of_its_place(name: str) -> None:
    text = (ASSETS / name).read_text(encoding="utf-8")
    assert not re.search(r"\{\{|\{%|\{#|</script", text)


def test_nothing_is_addressed_outside_the_page(page: str) -> None:
    said = Read(page)
    assert [a for a in said.addresses if not a.startswith(("data:", "#"))] == []
    assert not re.search(r"url\((?!#|\"?data:|\"?#default)", page.replace("url(#", "url(#"))
    assert len(page.encode()) < 8_000_000


def test_only_scripts_of_the_policy_run(page: str) -> None:
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', page)
    assert policy
    assert "default-src 'none'" in policy[1]
    allowed = set(re.findall(r"'sha256-([^']+)'", policy[1]))
    found = {base64.b64encode(hashlib.sha256(text.encode()).digest()).decode() for text in Read(page).scripts}
    assert found == allowed
    assert page.index("Content-Security-Policy") < page.index("<style")


def test_the_page_reads_without_scripts(page: str, report: Report) -> None:
    words = " ".join(Read(page).words.split())
    caution = caution_sentences(report.cautions)[1]
    for said in ("Timetable", "05:02", "ESE 108°", "to P02: 468 m, 11 min", caution, "1.4 males expected"):
        assert said in words
    assert page.index("<svg viewBox") < page.index('id="timetable"')


def test_hostile_words_stay_words(naughty_report: Report) -> None:
    title = naughty_report.title
    worse = replace(
        naughty_report,
        stops=tuple(
            replace(stop, reasons=StopReasons(1.0, 5.0, 1.0, title, by_trail=False)) for stop in naughty_report.stops
        ),
        country=replace(
            naughty_report.country, kinds={k: (key, title) for k, (key, _) in naughty_report.country.kinds.items()}
        ),
    )
    said = Read(map_page(worse))
    assert "onclick" not in said.attributes
    assert len(said.scripts) == 10
    assert said.words.count("</script><b onclick=x>`${1}`") >= len(worse.stops)


def test_the_data_block_cannot_be_closed_by_its_words(naughty_report: Report) -> None:
    page = map_page(replace(naughty_report, stops=naughty_report.stops[:1]))
    block = page.split('id="walk">', 1)[1].split("</script>", 1)[0]
    assert json.loads(block)["stops"][0]["number"] == 1


def test_the_legend_is_the_palette(page: str) -> None:
    assert re.findall(r'background:(#\w+)" data-word="([^"]+)"', page) == [(b.colour, b.word) for b in BANDS]


def test_the_scale_bar_is_in_the_units_of_the_reader(page: str, report: Report) -> None:
    assert re.findall(r"L\.control\.scale\(\{ (.*?) \}", page) == ["metric: true, imperial: false"]
    with written_in("us"):
        feet = map_page(report)
    assert re.findall(r"L\.control\.scale\(\{ (.*?) \}", feet) == ["metric: false, imperial: true"]


def test_the_same_report_gives_the_same_page(page: str, report: Report) -> None:
    assert map_page(report) == page


def test_ground_without_cover_or_stops_is_still_a_page(report: Report) -> None:
    bare = replace(report, stops=(), legs=(), bail_outs=(), country=replace(report.country, cover=None, closed=()))
    assert 'id="cover"' not in map_page(bare)
