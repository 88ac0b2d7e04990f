"""Notes typed on the page of the planned demo and read by `hushwalk note --from`: the same notes come out."""

import re
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from click.testing import CliRunner
from playwright.sync_api import Browser, Page

from hushwalk.cli import hushwalk
from hushwalk.morning.report import Report
from hushwalk.notes.ledger import read_notes
from hushwalk.outputs.walk.walk_data import summary_text

pytestmark = pytest.mark.xdist_group("plan of the demo")  # the plan is made once
TAPS = [  # stop, figures, bird, distance
    ("P02", "085", "B1", "near"),
    ("P02", "350.5", "B2", ""),
    ("P04", "8", "B1", "far"),
    ("P04", "360", "", "mid"),
    ("cross of the map", "123", "B3", ""),
]


def tapped(page: Page, stop: str, figures: str, bird: str, far: str) -> None:
    while page.inner_text("#stop-name") != stop:
        page.click("#stop-on")
    before = page.locator("#kept li").count()
    page.fill("#reading", figures)
    page.click(f'#birds [data-value="{bird}"]')
    if far:
        page.click(f'#distances [data-value="{far}"]')
    page.click("#keep")
    page.wait_for_function("n => document.querySelectorAll('#kept li').length > n", arg=before)


def test_what_is_saved_is_what_the_ledger_keeps(
    demo_report: Report, demo_page: str, demo_folder: Path, chromium: Browser, tmp_path: Path
) -> None:
    context = chromium.new_context(offline=True, accept_downloads=True, viewport={"width": 360, "height": 740})
    page = context.new_page()
    page.goto(demo_page)
    page.wait_for_selector("#notes[data-ready]", state="attached")
    page.click("#take")
    for tap in TAPS:
        tapped(page, *tap)
    while page.inner_text("#stop-name") != "P03":
        page.click("#stop-on")
    page.click("#nil")
    page.wait_for_function("n => document.querySelectorAll('#kept li').length === n", arg=len(TAPS) + 1)
    for _ in range(2):
        page.click("#again")
    tapped(page, "P05", "200", "B1", "")
    page.click("#log")
    page.click('#birds [data-value="B2"]')
    page.click('#droppings [data-value="fresh"]')
    page.click('#sides [data-value="NE"]')
    page.click("#keep-log")
    page.wait_for_function("n => document.querySelectorAll('#kept li').length === n", arg=len(TAPS) + 3)
    middle = page.evaluate("""async () => { const s = JSON.parse(document.getElementById('walk').textContent).notes;
        return NoteLines.inUse((await NoteStore.open(s.walk)).entries).find(n => n.kind === 'log').at; }""")
    own = page.evaluate("""async () => { const s = JSON.parse(document.getElementById('walk').textContent).notes;
        return NoteLines.inUse((await NoteStore.open(s.walk)).entries).filter(n => n.kind === 'bearing')
            .map(n => ({...n, true_deg: NoteLines.trueDeg(n, s)})); }""")
    with page.expect_download() as download:
        page.click("#save")
    lines = tmp_path / "lines.txt"
    download.value.save_as(lines)
    context.close()

    (tmp_path / "summary.json").write_text(summary_text(demo_report), encoding="utf-8")
    ledger = tmp_path / "notes.gpkg"
    words = ["note", str(demo_folder / "trip.toml"), "--from", str(lines), "--notes", str(ledger)]
    words += ["--plan", str(tmp_path / "summary.json")]
    for _ in range(2):  # read twice, everything is kept once
        run = CliRunner().invoke(hushwalk, words, catch_exceptions=False)
        assert run.exit_code == 0, run.output
        kept = sorted((row.note for row in read_notes(ledger, "bearing")), key=lambda n: (n.at, n.reading_deg))
        assert len(kept) == len(TAPS) + 1
    own.sort(key=lambda n: (n["day"], n["time"], n["reading"]))
    zone = ZoneInfo(demo_report.settings.morning.time_zone)
    for note, theirs in zip(kept, own, strict=True):
        assert (note.stop, note.bird, note.distance) == (theirs["stop"], theirs["bird"], theirs["distance"])
        assert note.reading_deg == theirs["reading"]
        assert note.times == theirs.get("times")
        turn = (note.azimuth_deg - theirs["true_deg"] + 180) % 360 - 180
        assert (
            abs(turn) < 0.3
        )  # the declination of the day of the plan at the car, against that of the note at its stop
        assert note.place[::-1] == pytest.approx(theirs["at"], abs=2e-6)
        assert f"{note.at.astimezone(zone):%H:%M:%S}" == theirs["time"]
        assert f"{note.at.astimezone(zone):%Y-%m-%d}" == theirs["day"]
    assert [note.times for note in kept if note.reading_deg == 200] == [3]
    [log] = [row.note for row in read_notes(ledger, "log")]
    assert (log.name, log.droppings, log.dropping_side, log.bird) == ("LOG01", "fresh pile", "NE", "B2")
    assert log.place[::-1] == pytest.approx(middle, abs=2e-6)
    [silent] = [row.note for row in read_notes(ledger, "visit")]
    assert (silent.stop, silent.heard) == ("P03", False)
    assert re.search(r"P03 nil \d\d:\d\d:\d\d", lines.read_text(encoding="utf-8"))
