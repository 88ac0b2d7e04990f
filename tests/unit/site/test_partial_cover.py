"""Land cover that says nothing of a part of the ground, several layers of it, and ground without any."""

from itertools import pairwise
from pathlib import Path

import geopandas as gpd
import numpy as np
import pytest
import rasterio
import shapely
from tests.unit.site.test_inputs import CAR, settings_in, write_heights

from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.habitat.why import Rating, why
from hushwalk.site.grid_choice import choose_grid
from hushwalk.site.inputs import read_inputs
from hushwalk.site.reading.cover_kinds import kind_by_key
from hushwalk.site.scoring import SiteHabitat, score_habitat
from hushwalk.site.settings import LayerSettings
from hushwalk.site.species import read_card
from hushwalk.wording.habitat_words import reason_words

HEIGHTS = LayerSettings("elevation", "dem.tif")


def grid_of(folder: Path) -> Grid:
    return choose_grid(settings_in(folder), CAR)


def write_shapes(folder: Path, name: str, shapes: list[shapely.Geometry], **fields: list[str]) -> None:
    grid = grid_of(folder)
    gpd.GeoDataFrame({**fields, "geometry": shapes}, crs=grid.crs).to_file(folder / name)


def habitat(folder: Path, *layers: LayerSettings) -> SiteHabitat:
    settings = settings_in(folder, HEIGHTS, *layers)
    inputs = read_inputs(settings, choose_grid(settings, CAR))
    return score_habitat(settings, inputs, read_card("ruffed_grouse"), "lake_states")


def males(found: SiteHabitat) -> float:
    return found.males.males()[1]


def corner(grid: Grid, share: float) -> shapely.Polygon:
    west, south, east, north = grid.bounds
    return shapely.box(west, north - share * (north - south), east, north)


def test_a_partial_layer_of_cover_leaves_the_rest_as_ground_of_unknown_cover(tmp_path: Path) -> None:
    write_heights(tmp_path)
    grid = grid_of(tmp_path)
    write_shapes(tmp_path, "marsh.gpkg", [corner(grid, 0.14)], what=["marsh"])
    drawn = LayerSettings("cover", "marsh.gpkg", field="what", classes={"marsh": "herbaceous_wetland"})
    without, part = habitat(tmp_path), habitat(tmp_path, drawn)
    south = np.s_[grid.n_rows // 2 :]
    assert np.isfinite(part.suitability.values).all()
    # unclassed ground is worth at the place itself what it is worth where no cover is given at all
    np.testing.assert_allclose(part.surface.local.values[south], without.surface.local.values[south])
    assert 0.5 * males(without) < males(part) < males(without)
    assert part.surface.confidence <= without.surface.confidence + 0.3 * 0.15
    assert any(words.startswith("86% of the ground has no class") for words in part.surface.notices)
    place = grid.xy(np.array([grid.n_rows - 20]), np.array([20]))[0]
    reasons = why(part.surface, (float(place[0]), float(place[1]))).reasons
    # a marsh in the north tells nothing of the woods round this place
    assert [r.rating for r in reasons if r.need.key == "conifer_share"] == [Rating.UNKNOWN]
    cover = next(reason for reason in reasons if reason.need.key == "cover_quality")
    assert cover.rating is not Rating.UNKNOWN
    assert cover.score == pytest.approx(0.3)  # kouffeld_2013, as on the card for ground without cover
    assert "nan" not in " ".join(map(reason_words, reasons))


def test_trust_does_not_rise_by_ground_without_a_class(tmp_path: Path) -> None:
    write_heights(tmp_path)
    grid = grid_of(tmp_path)
    trust = []
    for share in (0.1, 0.5, 1.0):
        write_shapes(tmp_path, f"{share}.gpkg", [corner(grid, share)], what=["aspen"])
        drawn = LayerSettings("cover", f"{share}.gpkg", field="what", classes={"aspen": "aspen"})
        trust.append(habitat(tmp_path, drawn).surface.confidence)
    assert trust == sorted(trust)


def test_a_later_cover_refines_an_earlier_one_and_coarser_words_change_nothing(tmp_path: Path) -> None:
    write_heights(tmp_path)
    grid = grid_of(tmp_path)
    west, south, east, north = grid.bounds
    halves = [shapely.box(west, south, (west + east) / 2, north), shapely.box((west + east) / 2, south, east, north)]
    write_shapes(tmp_path, "stands.gpkg", halves, what=["aspen", "marsh"])
    write_shapes(tmp_path, "woods.gpkg", [corner(grid, 0.5)], what=["hardwood"])
    stands = LayerSettings(
        "cover", "stands.gpkg", field="what", classes={"aspen": "aspen", "marsh": "herbaceous_wetland"}
    )
    woods = LayerSettings("cover", "woods.gpkg", field="what", classes={"hardwood": "deciduous_forest"})
    settings = settings_in(tmp_path, HEIGHTS, stands, woods)
    cover = read_inputs(settings, grid).cover
    assert cover is not None
    keys = ("aspen", "deciduous_forest", "aspen", "herbaceous_wetland")
    at = [(5, 5), (5, -5), (-5, 5), (-5, -5)]
    assert [cover.values[cell] for cell in at] == [kind_by_key(key).code for key in keys]


def test_without_cover_roads_and_houses_are_no_habitat(tmp_path: Path) -> None:
    write_heights(tmp_path)
    grid = grid_of(tmp_path)
    west, south, east, north = grid.bounds
    middle = (north + south) / 2
    road = shapely.LineString([(west, middle + 5), (east, middle + 5)])
    write_shapes(tmp_path, "roads.gpkg", [road], highway=["secondary"])
    house = shapely.box(west + 200, middle + 100, west + 212, middle + 112)
    write_shapes(tmp_path, "houses.gpkg", [house], what=["house"])
    bare, built = (
        habitat(tmp_path),
        habitat(tmp_path, LayerSettings("roads", "roads.gpkg"), LayerSettings("buildings", "houses.gpkg")),
    )
    row = int((north - middle - 5) // grid.cell_m)
    worth = built.surface.local.values / bare.surface.local.values
    # a road of 12 m, as of WIDTHS_M, over rows of cells of 10 m: the middle row is all road, a tenth of each beside it
    assert worth[row, 40] == pytest.approx(0.0)
    assert worth[row - 1, 40] == pytest.approx(1.0, abs=0.21)
    assert worth[5, 5] == pytest.approx(1.0)
    at = int((north - (middle + 106)) // grid.cell_m), int(206 // grid.cell_m)
    assert worth[at] == pytest.approx(0.0)
    assert males(built) < males(bare)


def test_with_cover_everywhere_roads_change_nothing(tmp_path: Path) -> None:
    write_heights(tmp_path)
    grid = grid_of(tmp_path)
    profile = {"driver": "GTiff", "height": grid.n_rows, "width": grid.n_cols, "count": 1, "dtype": "uint8"}
    with rasterio.open(tmp_path / "c.tif", "w", crs=grid.crs, transform=grid.transform, **profile) as file:
        file.write(np.full(grid.shape, 41, dtype=np.uint8), 1)
    west, south, east, north = grid.bounds
    write_shapes(tmp_path, "roads.gpkg", [shapely.LineString([(west, south), (east, north)])], highway=["secondary"])
    cover = LayerSettings("cover", "c.tif", legend="nlcd")
    alone, crossed = habitat(tmp_path, cover), habitat(tmp_path, cover, LayerSettings("roads", "roads.gpkg"))
    np.testing.assert_array_equal(alone.suitability.values, crossed.suitability.values)


def write_cover(folder: Path, name: str, west: int, east: int) -> None:
    grid = grid_of(folder)
    codes = np.full(grid.shape, west, dtype=np.uint8)
    codes[:, grid.n_cols // 2 :] = east
    profile = {"driver": "GTiff", "height": grid.n_rows, "width": grid.n_cols, "count": 1, "dtype": "uint8"}
    with rasterio.open(folder / name, "w", crs=grid.crs, transform=grid.transform, **profile) as file:
        file.write(codes, 1)


@pytest.mark.parametrize("leaves_first", [False, True])
def test_a_leaf_type_layer_tells_what_trees_stand_and_nothing_else(tmp_path: Path, leaves_first: bool) -> None:
    write_heights(tmp_path)
    grid = grid_of(tmp_path)
    write_cover(tmp_path, "cover.tif", 10, 30)  # trees in the west, grass in the east
    write_cover(tmp_path, "leaf.tif", 1, 1)
    both = [
        LayerSettings("cover", "cover.tif", legend="worldcover"),
        LayerSettings("cover", "leaf.tif", legend="leaf_type"),
    ]
    cover = read_inputs(settings_in(tmp_path, HEIGHTS, *(reversed(both) if leaves_first else both)), grid).cover
    assert cover is not None
    assert [cover.values[5, 5], cover.values[5, -5]] == [kind_by_key(k).code for k in ("deciduous_forest", "grassland")]


def test_cover_and_height_codes_become_shares_and_metres(tmp_path: Path) -> None:
    write_heights(tmp_path)
    grid = grid_of(tmp_path)
    write_cover(tmp_path, "evc.tif", 160, 31)  # trees over 60 per cent of the ground, and bare ground
    write_cover(tmp_path, "evh.tif", 118, 215)  # trees of 18 m, shrubs of 1.5 m
    evc = LayerSettings("canopy_cover", "evc.tif", unit="landfire_evc")
    evh = LayerSettings("canopy_height", "evh.tif", unit="landfire_evh")
    got = read_inputs(settings_in(tmp_path, HEIGHTS, evc, evh), grid).measures
    assert [float(got["canopy_cover"].values[5, at]) for at in (5, -5)] == pytest.approx([0.60, 0.0])
    assert [float(got["canopy_height"].values[5, at]) for at in (5, -5)] == pytest.approx([18.0, 1.5])
    write_cover(tmp_path, "old.tif", 105, 125)
    old = LayerSettings("canopy_cover", "old.tif", unit="landfire_evc_2014")
    share = read_inputs(settings_in(tmp_path, HEIGHTS, old), grid).measures["canopy_cover"]
    assert float(share.values[5, 5]) == pytest.approx(0.55)  # the class of 50 to 60 per cent
    with pytest.raises(InputError, match="landfire_evc_2014"):
        read_inputs(settings_in(tmp_path, HEIGHTS, LayerSettings("canopy_cover", "old.tif", unit="landfire_evc")), grid)


def test_wetlands_by_code_become_cover_water_and_wet_ground(tmp_path: Path) -> None:
    write_heights(tmp_path)
    grid = grid_of(tmp_path)
    west, south, east, north = grid.bounds
    edges = np.linspace(west, east, 5)
    strips = [shapely.box(a, south, b, north) for a, b in pairwise(edges)]
    write_shapes(tmp_path, "nwi.gpkg", strips, ATTRIBUTE=["PF01E", "PUBHh", "PSS1E", "swampy"])
    cover = LayerSettings("cover", "nwi.gpkg", field="ATTRIBUTE", legend="nwi")
    inputs = read_inputs(settings_in(tmp_path, HEIGHTS, cover, LayerSettings("wetlands", "nwi.gpkg")), grid)
    assert inputs.cover is not None
    keys = ("swamp_forest", "open_water", "alder_swamp")
    at = [int((k + 0.5) * grid.n_cols / 4) for k in range(4)]
    assert [inputs.cover.values[5, col] for col in at[:3]] == [kind_by_key(key).code for key in keys]
    assert np.isnan(inputs.cover.values[5, at[3]])
    assert len(inputs.shapes("wetlands")) == 3
    assert len(inputs.shapes("water")) == 1
    assert sum("'PF01E' is misspelt" in words for words in inputs.notices) == 2
    assert any("'swampy' is no code" in words for words in inputs.notices)
