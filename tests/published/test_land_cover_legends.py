"""Legends of published land-cover products: NLCD (Dewitz 2023, doi 10.5066/P9JZ7AO3) with its 2021 science products,
ESA WorldCover 2021 v200 (Zanaga and others 2022, doi 10.5281/zenodo.7254221) and LANDFIRE existing vegetation type.

The codes were typed from the published legends, not from our tables."""

import numpy as np
import pytest

from hushwalk.errors import InputError
from hushwalk.habitat.stand_age import age_from_disturbance_date
from hushwalk.site.reading.cover import (
    cover_kinds,
    crosswalk,
    crosswalk_from_classes,
    kind_of_vegetation_type,
    to_kinds,
)

NLCD = {11, 12, 21, 22, 23, 24, 31, 41, 42, 43, 51, 52, 71, 72, 73, 74, 81, 82, 90, 95}
NLCD_SCIENCE = {45, 46}
WORLDCOVER = {10, 20, 30, 40, 50, 60, 70, 80, 90, 95, 100}


def test_nlcd_has_exactly_its_codes() -> None:
    assert set(crosswalk("nlcd").kinds) == NLCD | NLCD_SCIENCE


def test_worldcover_has_exactly_its_codes_and_anything_else_is_an_error() -> None:
    walk = crosswalk("worldcover")
    assert set(walk.kinds) == WORLDCOVER
    assert to_kinds([0.0], walk, "cover").tolist() == [0]
    for code in sorted(set(range(1, 120)) - WORLDCOVER):
        with pytest.raises(InputError, match=rf"class {code},"):
            to_kinds([float(code)], walk, "cover")


def test_forest_disturbance_dates_are_years_less_1900() -> None:
    ages = age_from_disturbance_date([84, 101, 121], 2027)
    assert ages.tolist() == [2027 - 1984, 2027 - 2001, 2027 - 2021] == [43, 26, 6]
    assert np.isnan(age_from_disturbance_date([83, 200], 2027)).all()
    with pytest.raises(InputError, match="code 41"):
        age_from_disturbance_date([41], 2027)
    with pytest.raises(InputError, match="after 2015"):
        age_from_disturbance_date([121], 2015)


@pytest.mark.parametrize("code", [3011, 7011])
def test_a_vegetation_type_is_known_by_name_under_the_number_of_either_release(code: int) -> None:
    walk = crosswalk_from_classes({str(code): "Rocky Mountain Aspen Forest and Woodland"})
    assert cover_kinds()[int(to_kinds([float(code)], walk, "cover")[0])].key == "aspen"


# codes of release 1.4.0 with the kind that their published name says, read by hand
EVT = {
    "aspen": [3009, 3011, 3301, 3331],
    "aspen_conifer": [3061],
    "northern_hardwood": [3302, 3309, 3511, 3512, 3554],
    "oak": [3310, 3303, 3315, 3317, 3320, 3463],
    "upland_conifer": [3365, 3373],
    "mixed_forest": [3555],
    "swamp_forest": [3481, 3526, 3494],
    "alder_swamp": [3402],
    "riparian_forest": [3475, 3472, 3444, 3159, 3160],
    "riparian_shrub": [3319],
    "ruderal_shrub": [3528],
    "ruderal_forest": [3531, 3532],
    "pine": [3362, 3366, 3344, 3407, 3050, 3179],
    "montane_shrub": [3106, 3169],
    "plantation": [3534],
    "open_water": [3292],
}


@pytest.mark.parametrize("kind", EVT)
def test_vegetation_types_of_grouse_country_become_the_kind_their_name_says(kind: str) -> None:
    walk = crosswalk("landfire_evt")
    assert {code: cover_kinds()[walk.kinds[code]].key for code in EVT[kind]} == dict.fromkeys(EVT[kind], kind)


def test_the_two_names_printed_with_their_later_numbers_are_aspen() -> None:
    assert kind_of_vegetation_type("Northwestern Great Plains Aspen Forest and Woodland").key == "aspen"
    assert (
        kind_of_vegetation_type("Inter-Mountain Basins Aspen-Mixed Conifer Forest and Woodland").key == "aspen_conifer"
    )


# Land Cover of Canada: codes of the North American land change monitoring system as Natural Resources Canada lists them
CANADA = {1, 2, 5, 6, 8, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19}
# CLC+ Backbone 2021, product user manual: eleven classes and the sea; 254 and 255 are outside
CLC_PLUS = {*range(1, 12), 253}
# CORINE nomenclature: classes of three figures - urban, agricultural, forest and semi-natural, wetland, water
CORINE_GROUPS = {1: 11, 2: 11, 3: 12, 4: 5, 5: 5}


def test_legends_beyond_the_states_have_exactly_their_codes() -> None:
    assert set(crosswalk("canada").kinds) == CANADA
    assert set(crosswalk("clc_plus").kinds) == CLC_PLUS
    corine = crosswalk("corine").kinds
    for first, n in CORINE_GROUPS.items():
        assert sum(code // 100 == first for code in corine) == n
    order = sorted(code for code in corine if code > 100)
    assert [corine[n] for n in range(1, 45)] == [corine[code] for code in order]
    for legend, leaves in (("canada", (1, 5, 6)), ("clc_plus", (2, 3)), ("corine", (312, 311, 313))):
        kinds = [cover_kinds()[crosswalk(legend).kinds[code]].key for code in leaves]
        assert kinds == ["evergreen_forest", "deciduous_forest", "mixed_forest"][: len(leaves)]


def test_vegetation_types_of_later_releases_are_read_by_number_where_that_is_asked_for() -> None:
    walk = crosswalk("landfire_evt_2016")
    assert [cover_kinds()[int(kind)].key for kind in to_kinds([7011.0, 7009.0, 7302.0, 7292.0], walk, "cover")] == [
        "aspen",
        "aspen",
        "northern_hardwood",
        "open_water",
    ]
