"""An opened trip answers in Python what the command line answers in words."""

import sys
from dataclasses import replace
from datetime import time
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from matplotlib import pyplot as plt

import hushwalk
from hushwalk.cli import hushwalk as command_line
from hushwalk.site.trip_file import read_trip

pytestmark = pytest.mark.xdist_group("face")
PLACE = "47.3840, -90.3330"
EAR = "47.3825, -90.3299"


@pytest.fixture(scope="module")
def site(demo_folder: Path) -> hushwalk.Trip:
    return hushwalk.open_trip(demo_folder)


@pytest.fixture(scope="module")
def small(demo_folder: Path) -> hushwalk.Trip:
    """A short morning on a part of the demo, which is planned in a second or two."""
    settings = read_trip(demo_folder / "trip.toml")
    morning = replace(settings.morning, way="listen and cross", back_by=time(6, 30))
    return hushwalk.open_trip(replace(settings, ground=replace(settings.ground, reach_m=1000.0), morning=morning))


@pytest.fixture(scope="module")
def plan(small: hushwalk.Trip) -> hushwalk.MorningPlan:
    return small.plan(seconds=None, steps=100, proof_s=0, seed=3)


def said(*words: str) -> str:
    answer = CliRunner().invoke(command_line, list(words))
    assert answer.exit_code == 0, answer.output
    return answer.output.rstrip("\n")


def test_a_trip_opens_from_file_folder_and_settings_alike(site: hushwalk.Trip, demo_folder: Path) -> None:
    settings = read_trip(demo_folder / "trip.toml")
    made = hushwalk.open_trip(settings)
    assert np.array_equal(made.suitability, site.suitability, equal_nan=True)
    assert "Hollow Alder country" in repr(made)
    with pytest.raises(hushwalk.MissingFileError, match="there is no trip file"):
        hushwalk.open_trip(demo_folder / "none.toml")


def test_layers_are_arrays_with_name_unit_and_grid(site: hushwalk.Trip) -> None:
    for name, layer in site.layers.items():
        assert np.asarray(layer).shape == site.grid.shape, name
        assert layer.unit, name
    low, middle, high = site.males
    assert low < middle < high
    assert middle == pytest.approx(np.nansum(site.males_per_km2) * site.grid.cell_area_km2)
    assert list(site.patches["males"]) == sorted(site.patches["males"], reverse=True)
    assert site.patches.crs.to_epsg() == site.grid.epsg


def test_why_is_what_the_command_says_and_its_factors_make_the_suitability(
    site: hushwalk.Trip, demo_folder: Path
) -> None:
    reasons = site.why(PLACE)
    assert str(reasons) == said("why", str(demo_folder / "trip.toml"), PLACE)
    assert set(reasons.table.columns) >= {"measured", "unit", "score", "factor", "source"}
    assert reasons.suitability == pytest.approx(site.suitability.at(np.array(reasons.facts.xy_m))[0])
    lon_lat = site.why((-90.3330, 47.3840))
    assert lon_lat.facts.xy_m == pytest.approx(reasons.facts.xy_m)


def test_a_sound_path_is_what_the_command_says_and_its_terms_add_up(site: hushwalk.Trip, demo_folder: Path) -> None:
    path = site.sound_path(PLACE, EAR)
    assert str(path) == said("earshot", str(demo_folder / "trip.toml"), PLACE, EAR)
    table = path.table
    losses = [f"{term.name}_db" for term in path.budget.losses]
    received = table["level_at_1m_db"] - table[losses].sum(axis=1)
    assert np.allclose(received, table["received_db"])
    assert path.budget.band_hz == table["margin_db"].idxmax()


def test_the_chance_of_an_earshot_is_that_of_the_path_and_its_edge_lies_at_the_level(site: hushwalk.Trip) -> None:
    heard, path = site.earshot(EAR), site.sound_path(PLACE, EAR)
    bird = site.why(PLACE).facts.xy_m
    cell = site.grid.xy(*site.grid.rowcol(np.array([bird])))
    assert heard.chance.at(cell)[0] == pytest.approx(path.chance, abs=0.05)
    assert heard.median_m == pytest.approx(heard.table["radius_m"].median())
    outline = heard.outline.geometry[0]
    inside = np.nansum(np.asarray(heard.chance) >= 0.5) * site.grid.cell_area_km2
    assert outline.area / 1e6 == pytest.approx(inside, rel=0.05)


@pytest.mark.parametrize(
    ("place", "words"),
    [("10.0, 20.0", "lies outside the ground"), ((1.0, 2.0, 3.0), "a place is a text"), ("here", "here")],
)
def test_a_place_that_cannot_be_is_refused(site: hushwalk.Trip, place: object, words: str) -> None:
    with pytest.raises(hushwalk.PlaceError, match=words):
        site.why(place)  # type: ignore[arg-type]


def test_the_tables_of_a_plan_hold_its_report(plan: hushwalk.MorningPlan) -> None:
    expected = [stop.males_expected for stop in plan.report.stops]
    assert list(plan.stops["males_expected"]) == pytest.approx(expected, abs=0.001)
    assert plan.males_expected == plan.report.males.expected
    assert len(plan.legs) == len(plan.stops) + 1
    assert plan.stops["leave"].dt.tz is not None
    assert (plan.stops["leave"] > plan.stops["arrive"]).all()
    assert plan.legs.length.sum() == pytest.approx(plan.legs["length_m"].sum(), rel=0.02)
    assert plan.gap == 1.0
    assert str(plan).startswith("Hollow Alder country")
    assert plan.summary()["schema"].startswith("hushwalk summary")


def test_a_plan_is_refused_limits_that_cannot_be(site: hushwalk.Trip) -> None:
    with pytest.raises(hushwalk.SettingsError, match="search_s and proof_s are finite seconds"):
        site.plan(seconds=-1)
    with pytest.raises(hushwalk.SettingsError, match="nothing would end the search"):
        site.plan(seconds=None)
    with pytest.raises(hushwalk.MissingFileError, match=r"there is no file none\.gpkg"):
        site.plan(notes="none.gpkg")


def test_plots_are_drawn_on_the_grid(site: hushwalk.Trip, plan: hushwalk.MorningPlan) -> None:
    plt.switch_backend("agg")
    coarse = site.earshot_map(1000.0)
    drawn = ((site.plot(), site.grid), (site.plot(coarse), coarse.grid), (plan.plot(), plan.report.grid))
    for ax, grid in drawn:
        west, south, east, north = grid.bounds
        assert (*ax.get_xlim(), *ax.get_ylim()) == pytest.approx((west, east, south, north))
        plt.close(ax.figure)
    assert {words.get_text() for words in drawn[2][0].texts} >= {"1", str(len(plan.stops))}


def test_sessions_are_a_row_a_log_and_day(site: hushwalk.Trip) -> None:
    found = site.sessions("ALDER", days=2)
    assert list(found.table.index.get_level_values("log")) == ["ALDER", "ALDER"]
    assert (found.table["until"] > found.table["in_hide_by"]).all()
    assert "ALDER" in str(found)
    with pytest.raises(hushwalk.SettingsError, match="1 to 60 days"):
        site.sessions("ALDER", days=0)


def test_without_a_ledger_no_bird_is_fixed(site: hushwalk.Trip, demo_folder: Path) -> None:
    with pytest.raises(hushwalk.MissingFileError, match="there are no field notes"):
        site.birds()
    with pytest.raises(hushwalk.MissingFileError, match="name the ledger"):
        hushwalk.open_trip(read_trip(demo_folder / "trip.toml")).birds()


def test_without_matplotlib_it_is_said_how_to_get_it(site: hushwalk.Trip, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    monkeypatch.delitem(sys.modules, "matplotlib.pyplot", raising=False)
    with pytest.raises(hushwalk.InputError, match=r"hushwalk\[plot\]"):
        site.plot()


def test_rasters_are_written_all_or_none(site: hushwalk.Trip, tmp_path: Path) -> None:
    written = site.write_geotiffs(tmp_path / "rasters", with_earshot=False)
    assert {path.stem for path in written} == set(site.layers)
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    with pytest.raises(hushwalk.OutputError, match="cannot be written"):
        site.write_geotiffs(tmp_path / "file", with_earshot=False)
