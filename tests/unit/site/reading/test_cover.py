import csv
from pathlib import Path

import numpy as np
import pytest

from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.science.going import off_path_time_factors
from hushwalk.site.reading.cover import (
    cover_kinds,
    crosswalk,
    crosswalk_from_classes,
    kind_by_key,
    kind_of_vegetation_type,
    kind_property,
    legends,
    to_kinds,
)
from hushwalk.sources import cite

GRID = Grid(32615, 500_000.0, 5_200_000.0, 10.0, 1, 4)


def test_every_kind_has_a_source_and_shares_that_can_be_shares() -> None:
    for kind in cover_kinds().values():
        cite(kind.source)
        assert 0 <= kind.foliage_factor <= 1
        assert np.isnan(kind.conifer_share) or 0 <= kind.conifer_share + kind.deciduous_share <= 1.0 + 1e-9
        assert np.isnan(kind.pace_factor) != kind.walkable
        assert not (kind.open and kind.foliage_factor > 0)


def test_walkable_kinds_take_their_pace_from_the_table_of_going() -> None:
    assert kind_by_key("alder_swamp").pace_factor == off_path_time_factors()["shrub_swamp"]
    assert kind_by_key("young_forest").pace_factor == off_path_time_factors()["young_dense"]
    assert {k.key for k in cover_kinds().values() if not k.walkable} == {"open_water"}


def test_foliage_factors_are_those_of_the_acoustics_note() -> None:
    # cover factor of the foliage term: open 0, leafless hardwood 0.25, mixed 0.5, dense conifer 1 (a judgement there)
    got = {
        key: kind_by_key(key).foliage_factor for key in ("grassland", "oak", "mixed_forest", "upland_conifer", "aspen")
    }
    assert got == {"grassland": 0.0, "oak": 0.25, "mixed_forest": 0.5, "upland_conifer": 1.0, "aspen": 0.25}


@pytest.mark.parametrize("legend", sorted(legends()))
def test_every_class_of_every_legend_becomes_a_kind(legend: str) -> None:
    known = crosswalk(legend)
    assert set(known.names) == set(known.kinds)
    assert set(known.kinds.values()) <= set(cover_kinds())
    assert 0 < known.confidence <= 1
    cite(known.source)
    codes = np.array(sorted(known.kinds), dtype=float)
    assert to_kinds(codes, known, "cover").tolist() == [known.kinds[int(c)] if c else 0 for c in codes]


def test_codes_become_kinds_and_no_data_stays_unknown() -> None:
    got = to_kinds([[41.0, 90.0, np.nan, 0.0]], crosswalk("nlcd"), "cover")
    assert [cover_kinds()[code].key for code in got[0]] == ["deciduous_forest", "woody_wetland", "unknown", "unknown"]


def test_a_strange_class_is_named_with_the_way_to_map_it() -> None:
    with pytest.raises(InputError, match=r"'ground cover' holds class 7011, not in the legend 'nlcd'.*classes = \{"):
        to_kinds([41.0, 7011.0], crosswalk("nlcd"), "ground cover")
    with pytest.raises(InputError, match=r"41\.5"):
        to_kinds([41.5], crosswalk("nlcd"), "cover")


def test_the_legend_of_another_release_is_read_by_class_name() -> None:
    with pytest.raises(InputError, match="7011"):
        to_kinds([7011.0], crosswalk("landfire_evt"), "cover")
    made = crosswalk_from_classes({"7011": "Rocky Mountain Aspen Forest and Woodland"})
    assert to_kinds([7011.0], made, "cover")[0] == kind_by_key("aspen").code
    assert crosswalk("landfire_evt").kinds[3011] == kind_by_key("aspen").code


def test_classes_by_hand_are_checked_one_by_one() -> None:
    assert crosswalk_from_classes({"3": "oak", "-2": "Woody wetlands"}).kinds == {3: 17, -2: 28}
    with pytest.raises(InputError, match=r"'three' is not a whole number"):
        crosswalk_from_classes({"three": "oak"})
    with pytest.raises(InputError, match="did you mean 'aspen'"):
        crosswalk_from_classes({"3": "aspenn"})


def test_unknown_legend_kind_and_vegetation_name_say_what_is_known() -> None:
    with pytest.raises(InputError, match="did you mean 'nlcd'"):
        crosswalk("nlcd2")
    with pytest.raises(InputError, match="did you mean 'woody_wetland'"):
        kind_by_key("wody_wetland")
    with pytest.raises(InputError, match="no rule for the vegetation type 'Lunar Regolith'"):
        kind_of_vegetation_type("Lunar Regolith")


def test_a_property_is_spread_over_the_ground() -> None:
    cover = Layer("cover", "class", GRID, np.array([[14.0, 1.0, np.nan, 50.0]]))
    wet = kind_property(cover, "wet")
    assert wet.values.tolist() == [[0.0, 1.0, 0.0, 0.0]]
    assert np.isnan(kind_property(cover, "pace_factor").values[0, 1])
    with pytest.raises(InputError, match="99"):
        kind_property(cover.with_values(np.full((1, 4), 99.0)), "wet")


@pytest.mark.real_layers
def test_vegetation_types_agree_with_an_independent_five_way_reading(shared_data: Path) -> None:
    """The five-way cover type of a public hydrologic model (gsflow-arcpy, covtype.rmp), by official class name."""
    ours = {"bare": 0, "grasses": 0, "shrubs": 0, "deciduous trees": 0, "coniferous trees": 0}
    agree = dict(ours)
    with (shared_data / "areas" / "sagehen_ca" / "landfire_evt_names.csv").open(encoding="utf-8") as table:
        for row in csv.DictReader(table):
            if row["evt_code"] == "0":
                continue
            kind = kind_of_vegetation_type(row["evt_name"])
            theirs = row["prms_cover_name"]
            ours[theirs] += 1
            agree[theirs] += five_way(kind.key, kind.conifer_share, theirs)
    assert agree["coniferous trees"] / ours["coniferous trees"] > 0.9
    assert agree["deciduous trees"] / ours["deciduous trees"] > 0.85
    assert agree["grasses"] / ours["grasses"] > 0.9


def five_way(key: str, conifer_share: float, theirs: str) -> bool:
    trees = key not in {
        "shrub", "dry_shrub", "dwarf_shrub", "montane_shrub", "alder_swamp", "riparian_shrub", "grassland", "barren",
        "crop", "pasture", "herbaceous_wetland", "peatland", "developed", "recent_clearing", "ruderal_shrub",
    }  # fmt: skip
    if theirs == "coniferous trees":
        return (trees and conifer_share >= 0.5) or key in {"ruderal_forest", "developed", "swamp_forest"}
    if theirs == "deciduous trees":
        return (trees and conifer_share <= 0.5) or key in {"ruderal_forest", "developed", "crop"}
    return not trees
