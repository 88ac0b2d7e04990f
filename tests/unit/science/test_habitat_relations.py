import tomllib
from importlib.resources import files

import numpy as np
import pytest

from hushwalk.science import habitat_relations
from hushwalk.science.habitat_relations import (
    hansen_2011_stem_odds,
    per_km2,
    share_with_an_alternate_log,
    wiggers_1992_canopy_score,
)
from hushwalk.site.species import read_card
from hushwalk.sources import cite


def test_every_relation_is_a_function_with_a_grade_and_a_source() -> None:
    table = files("hushwalk") / "data" / "tables" / "habitat_relations.toml"
    for name, relation in tomllib.loads(table.read_text(encoding="utf-8")).items():
        assert callable(getattr(habitat_relations, name))
        assert relation["grade"] in {"found", "second hand", "assumed"}
        assert (relation["grade"] == "assumed") == relation["source"].startswith("judgement:")
        cite(relation["source"])


def test_no_stems_no_chance() -> None:
    assert hansen_2011_stem_odds(0.0) == 0.0


def test_a_closed_canopy_beats_an_open_one_and_is_beaten_by_none() -> None:
    low, best, full = wiggers_1992_canopy_score([40.0, 80.0, 100.0])
    assert low < best
    assert full < best
    assert wiggers_1992_canopy_score(0.0) == 0.0


def test_alternates_never_leave_their_range() -> None:
    share = share_with_an_alternate_log(np.linspace(0, 40, 81))
    assert share.min() == 0.0
    assert share.max() == 0.5
    assert share_with_an_alternate_log([1.6, 12.5]) == pytest.approx([0.02, 0.44], abs=0.002)


def test_an_acre_is_what_it_is() -> None:
    assert per_km2(1.0) == pytest.approx(100.0 / 40.468564224)


def test_the_card_bends_age_canopy_and_landscape_as_the_relations_do() -> None:
    needs = {need.key: need.curve for need in read_card("ruffed_grouse").needs("lake_states")}
    ages, percent, shares = np.linspace(0, 90, 91), np.linspace(0, 100, 101), np.linspace(0, 1, 51)
    assert needs["stand_age"](ages) == pytest.approx(habitat_relations.stand_age_score(ages))
    assert needs["canopy_cover"](percent) == pytest.approx(wiggers_1992_canopy_score(percent))
    assert needs["landscape_share"](shares) == pytest.approx(habitat_relations.mehls_2014_landscape_score(shares))
