"""Names that would like to be programs, formulas, paths or steering signs: they end as text, and in no other file."""

import csv
import io
import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import geopandas
import lxml.etree
import lxml.html
import pyogrio
import pypdf
import pytest

from hushwalk.errors import InputError, MissingFileError
from hushwalk.files import rasters
from hushwalk.notes.ledger import Entry, write_notes
from hushwalk.notes.notes import BearingNote, LogNote, SessionNote, VisitNote
from hushwalk.outputs.regions.areas_tables import csv_text
from hushwalk.site.reading.features import read_features
from hushwalk.site.reading.georeferencing import Georeference
from hushwalk.site.reading.layers import read_layer
from hushwalk.site.settings import LayerSettings
from hushwalk.text import UNSEEN, one_line

Country = Any
Run = Any
SCRIPT = "</script><img src=x onerror=alert(1)><script>alert(2)</script>"
NAUGHTY = f"=HYPERLINK(1) {SCRIPT} ../../up \x07\x1b[31m \u202eback\u202c `${{7*7}}` {{{{7*7}}}} %n & ]]> <!--"
STANDARD = {
    *("map.html", "sheet_a4.pdf", "sheet_letter.pdf", "walk.gpx", "walk.kml", "walk.geojson", "walk.gpkg"),
    "summary.json",
}


def hostile(country: Country, name: str) -> Path:
    trip: Path = country.small_trip(say={"place.name": json.dumps(name)})
    ways = [country.line((0, 480), (1100, 520))]
    country.vector("trails.gpkg", ways, fields={"name": [name]})
    country.vector("streams.gpkg", [country.line((0, 700), (1000, 900))], fields={"name": [name]})
    return trip


def test_a_hostile_name_is_text_in_every_output_and_no_file_is_written_elsewhere(country: Country, run: Run) -> None:
    trip = hostile(country, NAUGHTY + "A" * 900_000)  # a trip file above 1 MB is refused
    before = {path for path in country.folder.rglob("*") if path.is_file()}
    output = run("plan", trip, "--steps", "30", "--proof", "0", "--out", country.folder / "maps", "--fresh")
    assert output.code == 0, output.err
    out = country.folder / "maps"
    new = {path for path in country.folder.rglob("*") if path.is_file()} - before
    assert new == {out / name for name in STANDARD}
    assert sum(path.stat().st_size for path in new) < 10_000_000, "a megabyte of a name is no use to anyone"
    assert not UNSEEN.search(output.out.replace("\n", ""))
    shown = one_line(NAUGHTY + "A" * 900_000)
    assert shown.startswith("=HYPERLINK(1) </script><img")
    page = lxml.html.parse(str(out / "map.html")).getroot()
    assert shown in page.findtext("head/title")
    assert not page.xpath("//*[@onerror]")
    assert not [script for script in page.iter("script") if (script.text or "").startswith("alert")]
    for name in ("walk.gpx", "walk.kml"):
        tree = lxml.etree.parse(str(out / name))
        assert [e for e in tree.iter() if (e.text or "") == shown], f"{name} has the name as text"
        assert not UNSEEN.search("".join(tree.getroot().itertext()).replace("\n", ""))
    assert json.loads((out / "summary.json").read_text())["title"] == shown
    assert len(geopandas.read_file(out / "walk.gpkg", layer="stops")) > 0
    for paper in ("a4", "letter"):
        assert "HYPERLINK" in pypdf.PdfReader(out / f"sheet_{paper}.pdf").pages[0].extract_text()


def test_hostile_notes_are_text_wherever_they_are_told(country: Country, run: Run) -> None:
    """Written past the rules of the command line, as a ledger that somebody sends may be."""
    trip, ledger, out = country.small_trip(), country.folder / "notes.gpkg", country.folder / "maps"
    at, here = datetime(2027, 4, 25, 11, tzinfo=UTC), (-91.69, 46.94)
    notes = [
        VisitNote(
            at, here, "P01", heard=True, end=at + timedelta(minutes=5), wind=NAUGHTY, sky=NAUGHTY, remark=NAUGHTY
        ),
        *(BearingNote(at, here, "P01", NAUGHTY, 85.0 + n, "T", 0.0, 0.0, 85.0 + n, remark=NAUGHTY) for n in range(2)),
        LogNote(at, here, NAUGHTY, "fresh pile", bird=NAUGHTY, photo="../../up.jpg", remark=NAUGHTY),
        SessionNote(at, NAUGHTY, here, disturbance=NAUGHTY, remark=NAUGHTY),
    ]
    write_notes(ledger, [Entry(note, NAUGHTY) for note in notes])
    before = {path for path in country.folder.rglob("*") if path.is_file()}
    output = [run("plan", trip, "--steps", "30", "--proof", "0", "--fresh", "--out", out)]
    further = (["note", trip], ["season", trip, "--out", out], ["fix", trip], ["note", trip, "--all"])
    output += [run(*words) for words in further]
    made = {path for path in country.folder.rglob("*") if path.is_file()} - before
    assert made == {out / name for name in (*STANDARD, "season.html")}
    for said in output:
        assert said.code in {0, 2}
        assert not UNSEEN.search((said.out + said.err).replace("\n", ""))
    assert output[0].code == output[1].code == 0
    assert SCRIPT in output[1].out
    for name in ("map.html", "season.html"):
        page = lxml.html.parse(str(out / name)).getroot()
        assert SCRIPT[:20] not in "".join(lxml.html.tostring(script).decode() for script in page.iter("script"))[8:-9]
        assert not page.xpath("//*[@onerror]")
    lxml.etree.parse(str(out / "walk.gpx"))
    assert pypdf.PdfReader(out / "sheet_a4.pdf").pages


def test_unseen_signs_go_and_letters_of_every_script_stay() -> None:
    assert one_line("Крутой ручей, נחל, 小川, Þórsá") == "Крутой ручей, נחל, 小川, Þórsá"
    assert one_line("a\u202eb\u2066c\ufeffd\x00e\ud800f") == "abcdef"
    assert len(one_line("x" * 10_000_000)) == 120


def test_a_message_cannot_steer_a_terminal(country: Country, run: Run) -> None:
    trip = country.small_trip()
    text = trip.read_text().replace('"heights.tif"', '"\\u001b[2Jheights\\u0007\\u202e.tif"')
    trip.write_text(text)
    output = run("plan", trip)
    assert output.code == 2
    assert "heights" in output.err
    assert not UNSEEN.search(output.err.replace("\n", ""))
    trip.write_text(text.replace("seed", "seed") + f'\n[ground]\n"{"k" * 1_000_000}" = 3\n')
    output = run("plan", trip)
    assert output.code == 2
    assert len(output.err) < 6000


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_a_table_holds_no_formula(start: str) -> None:
    """Signs at the start of a cell that programs for tables take for a formula: the list of OWASP, "CSV Injection"."""
    rows = list(
        csv.DictReader(io.StringIO(csv_text([{"name": f'{start}cmd|"/c calc"!A1', "males": -1.5}]), newline=""))
    )
    assert rows[0]["name"].startswith("'")
    assert rows[0]["males"] == "-1.5"


NETWORK = [
    "http://127.0.0.1:1/dem.tif",
    "https://127.0.0.1:1/dem.tif",
    "ftp://127.0.0.1/dem.tif",
    "/vsicurl/http://127.0.0.1:1/dem.tif",
    "/vsicurl_streaming/http://127.0.0.1:1/dem.tif",
    "/vsizip//vsicurl/http://127.0.0.1:1/dem.zip/dem.tif",
    "/vsizip/{/vsicurl/http://127.0.0.1:1/dem.zip}/dem.tif",
    "/vsis3/bucket/dem.tif",
    "/vsigs/bucket/dem.tif",
    "/vsiaz/bucket/dem.tif",
    "s3://bucket/dem.tif",
    "zip+https://127.0.0.1:1/dem.zip!dem.tif",
    "WMS:http://127.0.0.1:1/wms",
    "<GDAL_WMS><Service name='TMS'><ServerUrl>http://127.0.0.1:1/</ServerUrl></Service></GDAL_WMS>",
    "PG:host=127.0.0.1 dbname=x",
    "MySQL:x,host=127.0.0.1",
    "WFS:http://127.0.0.1:1/wfs",
    "OAPIF:http://127.0.0.1:1/",
    "vrt://http://127.0.0.1:1/dem.tif",
    "HTTP://127.0.0.1:1/dem.tif",
    "//server/share/dem.tif",
]


@pytest.mark.parametrize("kind", ["elevation", "streams"])
@pytest.mark.parametrize("path", NETWORK)
def test_no_path_reaches_the_network_unless_the_trip_says_so(
    country: Country, monkeypatch: pytest.MonkeyPatch, path: str, kind: str
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("a library was handed an address on the network")

    monkeypatch.setattr(rasters, "DatasetReader", refuse)
    monkeypatch.setattr(pyogrio, "list_layers", refuse)
    monkeypatch.setattr(pyogrio, "read_info", refuse)
    where = Georeference(country.grid, country.folder, network=False)
    specs = [(f"layer {kind}", LayerSettings(kind, path))]
    with pytest.raises((InputError, MissingFileError), match=f"layer {kind}"):
        read_features(specs, where) if kind == "streams" else read_layer(kind, specs, where, 2027)
