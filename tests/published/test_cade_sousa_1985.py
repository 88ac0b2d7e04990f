"""Cade and Sousa 1985, USFWS Biological Report 82(10.86): breakpoints of stem density.

Seen second hand: 4,900 and 14,800 stems/ha, as quoted by a public post-fire habitat analysis. The two values between
and above are the reference notes' own arithmetic on the straight line and on an assumed end.
"""

import pytest

from hushwalk.science.habitat_relations import cade_sousa_1985_stem_score
from hushwalk.site.species import read_card


def test_the_two_breakpoints() -> None:
    assert cade_sousa_1985_stem_score([4_900, 14_800]).tolist() == [0.0, 1.0]


def test_between_and_above() -> None:
    got = cade_sousa_1985_stem_score([8_000, 9_850, 21_000, 40_000])
    assert got == pytest.approx([0.3131, 0.5, 1.0, 0.8], abs=5e-5)


def test_the_card_uses_the_same_curve() -> None:
    curve = next(need.curve for need in read_card("ruffed_grouse").needs("lake_states") if need.key == "stems")
    stems = [0, 4_900, 6_000, 8_000, 14_800, 30_000, 60_000]
    assert curve(stems) == pytest.approx(cade_sousa_1985_stem_score(stems))
