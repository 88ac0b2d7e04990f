"""Hansen, Rumble and Millspaugh 2011, American Midland Naturalist 165:400-411: selection of drumming sites.

Published in the abstract: visibility from 40 to 0 % multiplies the relative chance by 9, stems from 8,000 to
24,000/ha by 20. The tables below were worked out from those two ratios by the author of the reference notes.
"""

import pytest

from hushwalk.science.habitat_relations import hansen_2011_stem_odds, hansen_2011_visibility_odds


def test_visibility_from_forty_per_cent_to_nothing_is_worth_nine() -> None:
    assert hansen_2011_visibility_odds(0.0) / hansen_2011_visibility_odds(40.0) == pytest.approx(9.00, abs=0.005)


def test_stems_from_8000_to_24000_are_worth_twenty() -> None:
    assert hansen_2011_stem_odds(24_000.0) / hansen_2011_stem_odds(8_000.0) == pytest.approx(20.0, abs=0.05)


def test_the_curves_between() -> None:
    seen = hansen_2011_visibility_odds([0, 10, 20, 30, 40, 60])
    assert seen == pytest.approx([1, 0.577, 0.333, 0.192, 0.111, 0.037], abs=5.1e-4)
    stems = hansen_2011_stem_odds([4_900, 8_000, 10_000, 14_800, 18_000, 24_000])
    assert stems == pytest.approx([0.003, 0.050, 0.123, 0.394, 0.607, 1.0], abs=5.1e-4)
