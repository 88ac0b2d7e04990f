"""Logs as film sets on the invented country: from notes and trip file to words and to one side of paper."""

import base64
import hashlib
import io
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from click.testing import CliRunner
from lxml import html
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from hushwalk.cli import hushwalk
from hushwalk.errors import MissingFileError, NoPlanError, OutputError, PlaceError, SettingsError
from hushwalk.filming.crowns import CrownsFrom
from hushwalk.filming.log_places import Facing, find_log, names_of_logs
from hushwalk.filming.series import Doing, Series, plan_series
from hushwalk.filming.session_report import LogPlan, SessionCaution, SessionReport
from hushwalk.filming.story import SessionRequest, _cautions, plan_sessions
from hushwalk.notes.ledger import Entry, write_notes
from hushwalk.notes.notes import LogNote
from hushwalk.outputs.filming.plan_view import free_way, shown_sides, view_of
from hushwalk.outputs.filming.session_page import session_page
from hushwalk.outputs.filming.session_sheet import FEWER, Counts, _Page, session_sheet
from hushwalk.outputs.kit.paper import MM, paper_named
from hushwalk.outputs.registry import session_products
from hushwalk.outputs.write import write
from hushwalk.science.sun import sun_events
from hushwalk.site.camera_settings import CameraSettings, LensSettings, LogSettings
from hushwalk.site.manifest import Credit
from hushwalk.site.settings import TripSettings, WeatherSettings
from hushwalk.site.site import Site, read_site
from hushwalk.site.trip_file import read_trip
from hushwalk.wording.filming_words import day_title, iso_words, notice_words, sun_words
from hushwalk.wording.log_choice_words import compare_words
from hushwalk.wording.session_words import log_words
from hushwalk.wording.shot_words import series_line, series_words

ZONE = ZoneInfo("America/Chicago")
CAMERA = CameraSettings(
    lens=(LensSettings("500 mm", 500.0, 5.6, 3.7), LensSettings("zoom", 600.0, 6.3, 2.4, 200.0)),
    extenders=(1.4,),
    log=(
        LogSettings(
            "ALDER",
            "47.3825, -90.3299",
            facing_deg=(100.0, 280.0),
            skyline=((60.0, 14.0), (80.0, 12.0), (100.0, 9.0), (120.0, 8.0)),
            backdrop_m={"N": 14.0, "SW": 12.0},
            hide_m={"S": 14.0, "NE": 16.0},
        ),
        LogSettings("LOG07", skyline=((70.0, 20.0), (95.0, 20.0))),
    ),
)
DAYS = 5


@pytest.fixture(scope="module")
def notes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("notes") / "notes.gpkg"
    found = LogNote(
        datetime(2027, 4, 20, 15, tzinfo=UTC),
        (-90.3286, 47.3804),
        "LOG07",
        "fresh pile",
        dropping_side="SW",
        height_m=0.5,
        backdrop_m="SW 11",
        hide_m="NE 15, E 12",
        access="NE E",
    )
    write_notes(path, [Entry(found)])
    return path


@pytest.fixture(scope="module")
def trip(demo_folder: Path) -> TripSettings:
    return read_trip(demo_folder / "trip.toml")


@pytest.fixture(scope="module")
def report(trip: TripSettings, notes: Path) -> SessionReport:
    request = SessionRequest(("alder", "LOG07", "47.3869, -90.3608"), date(2027, 4, 21), DAYS, ledger=notes)
    return plan_sessions(trip, CAMERA, request)


@pytest.fixture(scope="module")
def site(trip: TripSettings) -> Site:
    return read_site(trip)


def plan_named(report: SessionReport, name: str) -> LogPlan:
    return next(plan for plan in report.logs if plan.name == name)


@pytest.fixture(scope="module")
def series(report: SessionReport) -> Series:
    return plan_series(report.logs, report.peak)


def test_the_log_most_worth_sitting_at_comes_first(report: SessionReport) -> None:
    minutes = [plan.worth.minutes for plan in report.logs]
    assert len(minutes) == 3
    assert minutes == sorted(minutes, reverse=True)
    assert report.logs[0].name == "LOG07"  # the only one with fresh droppings
    assert all(plan.worth.minutes == pytest.approx(np.prod(list(plan.worth.parts.values()))) for plan in report.logs)


def test_the_person_is_back_in_time(report: SessionReport, trip: TripSettings) -> None:
    for plan in report.logs:
        for day in plan.days:
            assert day.session is not None
            assert day.session.back_at.time() <= trip.morning.back_by
            walked = (day.session.back_at - day.session.until).total_seconds()
            assert walked == pytest.approx(plan.walk.back_s, abs=1)
            assert day.session.cut_short
        assert any("back_by" in words for words in notice_words(report, plan))


def test_the_light_is_that_of_the_side_through_crowns_from_the_layers(report: SessionReport) -> None:
    plan = plan_named(report, "ALDER")
    assert plan.crowns.known_from is CrownsFrom.LAYERS
    assert plan.crowns.leaf == 0.0  # April
    assert plan.best is not None
    light = plan.best.light
    assert light.side_deg == plan.side.azimuth_deg
    late = plan.best.session.minutes[-1] if plan.best.session else 0
    front, back = (light.from_side(light.azimuth_deg[late] + turn).middle_lux[late] for turn in (0.0, 180.0))
    assert front > light.middle_lux[late] > back


def test_a_series_keeps_the_rest_and_sets_up_before(series: Series) -> None:
    sat = [one.day for one in series.sittings if one.log == "LOG07"]
    assert sat
    assert all(sum(first <= day < first + timedelta(days=4) for day in sat) <= 3 for first in sat)
    first = series.days[0]
    assert first.doing is Doing.SET_UP
    assert series.sittings[0].day - first.day == timedelta(days=2)
    assert any("Most males display about" in words for words in series_words(series))


def test_times_of_a_morning_hang_together(report: SessionReport) -> None:
    plan = plan_named(report, "ALDER")
    assert [day.day for day in plan.days] == [date(2027, 4, 21) + timedelta(days=k) for k in range(DAYS)]
    for day in plan.days:
        assert day.session is not None
        (rise,) = sun_events(day.day, ZONE, plan.place.lon_deg, plan.place.lat_deg)
        assert abs(day.session.anchor - rise) <= timedelta(seconds=2)
        assert day.session.anchor - day.session.in_hide_by == timedelta(minutes=150)
        walked = day.session.in_hide_by - day.session.leave_car_by - timedelta(minutes=10)
        assert walked.total_seconds() == pytest.approx(plan.walk.seconds, abs=1)
    assert plan.walk.seconds > plan.walk.length_m / 2  # nobody walks 2 m/s in the dark


def test_a_measured_skyline_keeps_the_sun_away(report: SessionReport) -> None:
    open_log, hidden = plan_named(report, "UNNAMED 1"), plan_named(report, "LOG07")
    assert open_log.best is not None
    assert hidden.best is not None
    early, late = open_log.best.sun_span(), hidden.best.sun_span()
    assert early is not None
    assert late is not None
    assert late[0].time() > (early[0] + timedelta(minutes=50)).time()
    assert any("no skyline was measured" in words for words in notice_words(report, open_log))
    assert "at the earliest, no skyline measured" in sun_words(open_log, open_log.best)
    assert "earliest" not in sun_words(hidden, hidden.best)
    assert not any("no skyline was measured" in words for words in notice_words(report, hidden))


def test_the_ledger_tells_facing_room_and_backdrop(report: SessionReport) -> None:
    plan = plan_named(report, "LOG07")
    assert plan.facing_deg == (45.0,)  # droppings in the south-west: he faces the north-east
    assert plan.side.name in {"NE", "E"}
    assert plan.side.distance_m in {15.0, 12.0}
    assert plan.room.noted
    assert plan.side.distance_m <= plan.room.farthest_m
    assert plan.framing is not None
    assert plan.framing.distance_m == plan.side.distance_m  # all figures hold for the place of the hide
    assert all(choice.video.distance_m == plan.side.distance_m for choice in plan.seat.choices)


def test_one_log_in_words(report: SessionReport) -> None:
    lines = log_words(report, plan_named(report, "ALDER"))
    for words in ("leave the car by", "tree shade", "lens along", "ISO needed", "Shot list", "Leave only", "Cautions"):
        assert words in lines
    assert "keep off nests" in lines.lower()
    assert iso_words(5e6) == "-"


def test_several_logs_in_one_table(report: SessionReport) -> None:
    lines = compare_words(report).splitlines()
    assert sum("ALDER" in line for line in lines) == 2
    assert sum("LOG07" in line for line in lines) == 2
    assert "25 Apr" in " ".join(lines)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_log_fits_on_one_side_of_paper(report: SessionReport, series: Series, paper: str) -> None:
    for plan in report.logs:
        pdf = PdfReader(io.BytesIO(session_sheet(report, plan, series, paper)))
        assert len(pdf.pages) == 1
        text = " ".join(pdf.pages[0].extract_text().split())
        for words in (
            plan.name,
            "leave the car by",
            "Where to sit",
            "Lenses from there",
            "Shot list",
            "Days as a series: set up ALDER",
            "I told",
            "back at the car by 09",
            "Keep off nests",
        ):
            assert words in text
        assert re.search(r"5 m, 1:\d{3}", text)
        fonts = pdf.pages[0]["/Resources"]["/Font"]  # type: ignore[index]
        assert all("FontFile2" in str(f.get_object()["/FontDescriptor"]) for f in fonts.values())


def test_long_notices_still_fit(report: SessionReport, series: Series, monkeypatch: pytest.MonkeyPatch) -> None:
    crowded = report.logs[0]
    notices = notice_words(report, crowded)
    assert notices
    monkeypatch.setattr("hushwalk.outputs.filming.session_sheet.notice_words", lambda _report, _plan: notices * 4)
    pdf = PdfReader(io.BytesIO(session_sheet(report, crowded, series, "letter")))
    text = " ".join(pdf.pages[0].extract_text().split())
    assert "Keep the place of the log to yourself" in text
    paper = paper_named("letter")
    page = _Page(Canvas(io.BytesIO(), pagesize=(paper.width_mm * MM, paper.height_mm * MM)), paper, report, crowded)
    assert page.draw(FEWER[-1]) >= 0  # nothing runs into the box at the foot


@pytest.mark.parametrize("counts", [FEWER[0], FEWER[7], FEWER[-1]])
def test_what_a_sheet_takes_is_known_before_it_is_drawn(report: SessionReport, series: Series, counts: Counts) -> None:
    paper = paper_named("a4")
    size = (paper.width_mm * MM, paper.height_mm * MM)
    for plan in report.logs:
        asked = _Page(Canvas(io.BytesIO(), pagesize=size), paper, report, plan, series_line(series))
        asked.left_over(FEWER[0])
        drawn = _Page(Canvas(io.BytesIO(), pagesize=size), paper, report, plan, series_line(series))
        assert asked.left_over(counts) == pytest.approx(drawn.draw(counts), abs=0.01)


def test_whose_data_it_is_made_of_stands_on_page_and_sheet(report: SessionReport, series: Series) -> None:
    osm = Credit("OpenStreetMap", "© OpenStreetMap contributors", "ODbL 1.0", "https://www.openstreetmap.org/copyright")
    owing = replace(report, credits=(osm,))
    page, sheet = session_page(owing, series), session_sheet(owing, owing.logs[0], series)
    assert "OpenStreetMap: © OpenStreetMap contributors (ODbL 1.0, https://www.openstreetmap.org/copyright)" in page
    pdf = PdfReader(io.BytesIO(sheet))
    assert len(pdf.pages) == 1
    assert "Map data: © OpenStreetMap contributors." in pdf.pages[0].extract_text()
    assert "OpenStreetMap" not in session_page(report, series)


def test_the_plan_view_is_true_to_scale(report: SessionReport) -> None:
    """At 1:500 ten metres are 20 mm of paper; north is up, east is right."""
    view = view_of(report.logs[0], 0.0, 0.0, 76 * MM)
    assert view.points(10.0) / MM == pytest.approx(10_000 / view.scale)
    assert view.at(0.0, 10.0) - view.middle == pytest.approx([0.0, view.points(10.0)], abs=1e-9)
    assert view.at(90.0, 10.0) - view.middle == pytest.approx([view.points(10.0), 0.0], abs=1e-9)
    for side in shown_sides(report.logs[0]):
        assert view.points(side.distance_m) < view.side / 2


def test_the_same_sessions_give_the_same_bytes(report: SessionReport, series: Series) -> None:
    assert session_sheet(report, report.logs[0], series) == session_sheet(report, report.logs[0], series)


def test_the_page_holds_every_log_and_fetches_nothing(report: SessionReport, series: Series) -> None:
    lines = session_page(replace(report, title="Ridge </title><script>x</script> & Sons"), series)
    tree = html.document_fromstring(lines)
    assert [h.text for h in tree.iter("h2")] == [*(plan.name for plan in report.logs), "To carry"]
    assert sum(svg.get("role") == "img" for svg in tree.iter("svg")) == 12
    digests = [base64.b64encode(hashlib.sha256(s.text.encode()).digest()).decode() for s in tree.iter("script")]
    policy = tree.xpath("//meta[@http-equiv='Content-Security-Policy']/@content")[0]
    assert digests
    assert all(f"'sha256-{digest}'" in policy for digest in digests)
    assert "default-src 'none'" in policy
    assert not list(tree.iter("img", "iframe"))
    assert "http" not in lines.replace("http-equiv", "")
    captions = [c.text for c in tree.iter("caption")]
    assert any(words.startswith("Logs side by side") for words in captions)
    assert captions.count("Where to sit, best first") == 3
    assert tree.get("class") == "dark"  # red from the first pixel, before any script
    assert len(tree.xpath("//ul[@class='three']/li")) == 9


def written(report: SessionReport, folder: Path) -> list[Path]:
    series = plan_series(report.logs, report.peak)
    made = session_products(report, series, [(plan.name, plan) for plan in report.logs])
    return [file.path for file in write(made, folder)]


def test_sheets_are_written_whole_or_not_at_all(report: SessionReport, tmp_path: Path) -> None:
    made = written(report, tmp_path / "sheets")
    assert made[0].name == "sessions.html"
    assert {path.name for path in made[1:]} >= {"session_unnamed_1_a4.pdf", "session_alder_a4.pdf"}
    assert {path.name for path in (tmp_path / "sheets").iterdir()} == {path.name for path in made}
    twice = replace(report, logs=(report.logs[0], report.logs[0]))
    assert len(set(written(twice, tmp_path / "twice"))) == 3
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputError, match="--out"):
        written(report, tmp_path / "file")


def test_the_demo_names_a_camera_and_a_log_to_film_at(trip: TripSettings) -> None:
    assert [log.name for log in trip.camera.log] == ["ALDER"]
    assert {lens.name for lens in trip.camera.lens} == {"500 mm", "long zoom"}


def test_an_evening_and_a_trip_without_a_camera(trip: TripSettings) -> None:
    request = SessionRequest(("47.3869, -90.3608",), days=1, evening=True)
    got = plan_sessions(trip, CameraSettings(), request)
    session = got.logs[0].best.session if got.logs[0].best else None
    assert session is not None
    assert session.when == "evening"
    assert session.anchor.hour >= 19
    assert any("names no lens" in words for words in notice_words(got, got.logs[0]))
    text = PdfReader(io.BytesIO(session_sheet(got, got.logs[0], plan_series(got.logs, got.peak)))).pages
    assert len(text) == 1
    said = " ".join(text[0].extract_text().split())
    assert re.search(r"Walk in \d+ min by daylight, back \d+ min in the dark", said)
    assert session.back_at > session.until > session.anchor
    assert "until" in log_words(got, got.logs[0])


def test_december_has_no_best_day(trip: TripSettings) -> None:
    got = plan_sessions(trip, CAMERA, SessionRequest(("ALDER", "alder"), date(2027, 12, 20), days=2))
    (plan,) = got.logs  # one log that is asked for twice is one
    assert plan.best is not None
    assert not plan.best.in_season
    assert "best day" not in day_title(plan)
    assert "out of season" in day_title(plan)
    series = plan_series(got.logs, got.peak)
    assert series.sittings == ()
    assert any("No day of the span" in words for words in series_words(series))


def test_a_log_that_is_nowhere_is_one_clear_error(site: Site, notes: Path) -> None:
    with pytest.raises(PlaceError, match=r"'LOG99' is no log .*ALDER, LOG07"):
        find_log("LOG99", CAMERA, notes, site)
    with pytest.raises(PlaceError, match="has no place"):
        find_log("LOG07", CAMERA, None, site)
    with pytest.raises(PlaceError, match="outside the ground"):
        find_log("48.5, -90.3", CAMERA, None, site)


def test_droppings_at_both_ends_ask_for_the_facing(site: Site, tmp_path: Path) -> None:
    found = LogNote(
        datetime(2027, 4, 20, 15, tzinfo=UTC), (-90.3286, 47.3804), "LOG08", "few", dropping_side="both ends"
    )
    write_notes(tmp_path / "n.gpkg", [Entry(found)])
    place = find_log("log08", CAMERA, tmp_path / "n.gpkg", site)
    assert place.log.facing_deg == ()
    assert place.facing is Facing.BOTH_ENDS


def test_a_log_across_the_water_is_told(trip: TripSettings, site: Site) -> None:
    rows, cols = site.ground.water.nonzero()
    middle = len(rows) // 2
    x, y = site.grid.xy(rows[[middle]], cols[[middle]])[0]
    request = SessionRequest((f"{site.grid.epsg % 100}T {x:.0f} {y:.0f}",), days=1)
    with pytest.raises((NoPlanError, PlaceError)):
        plan_sessions(trip, CAMERA, request)


def test_what_cannot_be_asked(tmp_path: Path) -> None:
    with pytest.raises(SettingsError, match="1 to 60 days"):
        SessionRequest(("A",), days=0)
    with pytest.raises(MissingFileError, match="no field notes"):
        SessionRequest(("A",), ledger=tmp_path / "none.gpkg", notes_named=True)


def test_cautions_follow_cold_and_snow(trip: TripSettings) -> None:
    mild = _cautions(replace(trip, weather=WeatherSettings(temperature_c=15.0)), evening=False)
    hard = _cautions(
        replace(trip, weather=WeatherSettings(temperature_c=-25.0, wind_at_ear_ms=3.0, snow="fresh")), evening=False
    )
    assert SessionCaution.ICE not in mild
    assert hard[0] is SessionCaution.FROSTBITE
    assert SessionCaution.ICE in hard
    for chosen in (mild, hard):
        assert {
            SessionCaution.DARK,
            SessionCaution.HUNTING,
            SessionCaution.BIRD,
            SessionCaution.LEAVE_WORD,
            SessionCaution.PERMITS,
        } <= set(chosen)


def test_the_command_tells_and_writes(demo_folder: Path, tmp_path: Path) -> None:
    words = ["session", str(demo_folder / "trip.toml"), "47.3869, -90.3608", "--days", "2", "--out", str(tmp_path)]
    got = CliRunner().invoke(hushwalk, words)
    assert got.exit_code == 0, got.output
    assert "Where to sit" in got.output
    assert {path.suffix for path in tmp_path.iterdir()} == {".pdf", ".html"}


def test_the_labels_of_the_rings_stand_clear_of_hides_lens_and_way_in(report: SessionReport) -> None:
    for plan in report.logs:
        free_deg = free_way(plan)
        taken = [*(side.azimuth_deg for side in shown_sides(plan)), plan.side.lens_deg, *plan.facing_deg]
        taken += [plan.comes_from_deg] if plan.comes_from_deg is not None else []
        assert min(abs((free_deg - azimuth + 180) % 360 - 180) for azimuth in taken) >= 15


def test_all_logs_found_are_set_side_by_side(demo_folder: Path, notes: Path) -> None:
    """The judgement of `logs` is that of `session`; logs of notes and trip file come together, each once."""
    words = ["logs", str(demo_folder / "trip.toml"), "--days", "2", "--notes", str(notes)]
    got = CliRunner().invoke(hushwalk, words)
    assert got.exit_code == 0, got.output
    assert got.output.index("LOG07") < got.output.index("ALDER")  # fresh droppings before unknown ones
    for head in ("good min", "in use", "way", "Days as a series", "best morning", "best evening"):
        assert head in got.output
    with pytest.raises(PlaceError, match="no log is known yet"):
        names_of_logs(CameraSettings(), None)
