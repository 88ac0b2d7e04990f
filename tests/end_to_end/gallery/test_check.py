"""`hushwalk check` on a little trip: what is there, what is missing, every fault at once, and nothing written."""

from typing import Any

import numpy as np
import pytest

from hushwalk.morning.checkup import check_trip
from hushwalk.site.trip_file import read_trip

Country = Any
Run = Any


def below(heading: str, said: str) -> str:
    """The lines of one heading."""
    return said.split(f"\n{heading}\n", 1)[1].split("\n\n", 1)[0] if f"\n{heading}\n" in said else ""


def test_a_sound_trip_is_told_layer_by_layer(country: Country, run: Run) -> None:
    trip = country.small_trip()
    before = {path.name for path in country.folder.iterdir()}
    said = run("check", trip)
    assert said.code == 0, said.out
    assert {path.name for path in country.folder.iterdir()} == before
    layers = below("Layers", said.out)
    for kind in ("elevation", "cover", "streams", "trails"):
        assert f"good      layer {kind} " in layers
    assert "EPSG:32615" in layers
    assert "interpolated onto cells of 20 m" in layers or "averaged onto cells of 20 m" in layers
    missing = below("Missing", said.out)
    assert "no closed" in missing
    assert "no stand age" in missing
    assert "no cover" not in missing
    assumed = below("Assumed", said.out)
    assert "wind_at_ear_ms 0.5" in assumed
    assert "loudness:" in assumed
    assert "of those in earshot display on such a morning: " in below("How good a plan can be", said.out)
    assert said.out.rstrip().endswith("`hushwalk plan` can plan this morning.")


def test_every_fault_is_found_at_once(country: Country, run: Run) -> None:
    trip = country.small_trip(say={"ground.region": '"lake_stats"', "morning.back_by": "03:00:00"})
    (country.folder / "streams.gpkg").unlink()
    (country.folder / "cover.tif").write_bytes(b"not a raster")
    said = run("check", trip)
    assert said.code == 2
    mend = below("To mend first", said.out)
    for words in ("lake_stats", "morning.back_by 03:00", "streams.gpkg", "cover.tif"):
        assert sum(words in line for line in mend.splitlines()) == 1, mend
    layers = below("Layers", said.out)
    assert "UNUSABLE  layer streams " in layers
    assert "UNUSABLE  layer cover " in layers
    assert "good      layer elevation " in layers
    assert "4 things to mend" in said.out


def test_what_can_be_read_is_judged_although_a_layer_is_broken(country: Country, run: Run) -> None:
    trip = country.small_trip()
    (country.folder / "trails.gpkg").write_bytes(b"")
    said = run("check", trip)
    assert said.code == 2
    promise = below("How good a plan can be", said.out)
    assert "males live on the ground of the trip" in promise
    assert "for the layers that can be read" in promise


def test_the_males_in_reach_are_a_ceiling_that_shrinks_with_the_morning(country: Country) -> None:
    long = check_trip(read_trip(country.small_trip())).reach
    short = check_trip(read_trip(country.small_trip(say={"morning.back_by": "04:55:00"}))).reach
    assert long is not None
    assert short is not None
    assert long.ground_share > short.ground_share > 0
    assert long.males.in_earshot >= short.males.in_earshot > 0
    assert 0 < long.males.displaying < long.males.in_earshot <= long.males.on_ground
    assert long.males.low_share < 1 < long.males.high_share
    site = check_trip(read_trip(country.small_trip())).site
    assert site is not None
    on_all_ground = float(np.nansum(site.density.values)) * site.grid.cell_area_km2
    assert long.males.on_ground == pytest.approx(on_all_ground, rel=1e-6)


@pytest.mark.parametrize(
    ("say", "words"),
    [
        ({"place.car": '"somewhere"'}, "somewhere"),
        ({"species": '"grey_gouse"'}, "grey_gouse"),
        ({"ground.cell_m": "2.0", "ground.reach_m": "25000.0"}, "ground.cell_m"),
        ({"morning.time_zone": '"Mars/Base"'}, "Mars/Base"),
    ],
)
def test_a_fault_that_hides_the_ground_is_told(country: Country, run: Run, say: dict[str, str], words: str) -> None:
    said = run("check", country.small_trip(say=say))
    assert said.code == 2
    assert words in said.out + said.err
