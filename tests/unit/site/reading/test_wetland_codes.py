"""Codes of the wetland inventory, read by their grammar (Cowardin and others 1979, typed from the classification)."""

import pytest

from hushwalk.site.reading.cover import cover_kinds, crosswalk
from hushwalk.site.reading.wetland_codes import misspelt_words, wetland_class, wetland_code

KINDS = {
    "PFO1E": "swamp_forest",
    "PFO1A": "riparian_forest",
    "PFO4/1Eh": "swamp_forest",
    "PFO4E": "lowland_conifer",
    "PFO2Bg": "lowland_conifer",
    "PFO5F": "woody_wetland",
    "PSS1E": "alder_swamp",
    "PSS1/EM1E": "alder_swamp",
    "PSS3Ba": "peatland",
    "PSS4Ba": "lowland_conifer",
    "PEM1/SS1Eb": "herbaceous_wetland",
    "PEM1F": "herbaceous_wetland",
    "PML1B": "peatland",
    "PUBHh": "open_water",
    "PUB/FO5Fh": "woody_wetland",
    "L1UBH": "open_water",
    "R3UBH": "open_water",
    "R3USA": "barren",
    "R4SBC": "barren",
    "E2EM1P": "herbaceous_wetland",
    "Pf": "crop",
}


@pytest.mark.parametrize("text", KINDS)
def test_a_code_becomes_the_kind_that_its_parts_say(text: str) -> None:
    code = wetland_code(text)
    assert code is not None
    assert not code.misspelt
    assert cover_kinds()[crosswalk("nwi").kinds[wetland_class(code)]].key == KINDS[text]


def test_the_parts_of_a_code_are_told_apart() -> None:
    code = wetland_code("PFO4/1Eh")
    assert code is not None
    assert (code.system, code.classes, code.subclasses, code.regime, code.modifiers) == (
        "P",
        ("FO",),
        ("4", "1"),
        "E",
        "h",
    )
    code = wetland_code("L2UB3/AB4Hx")
    assert code is not None
    assert (code.subsystem, code.classes, code.subclasses) == ("2", ("UB", "AB"), ("3", "4"))


@pytest.mark.parametrize(
    ("text", "meant"), [("PF01E", "PFO1E"), ("PF04E", "PFO4E"), ("PSSIE", "PSS1E"), ("pfo1e", "PFO1")]
)
def test_a_misspelt_code_is_read_as_meant(text: str, meant: str) -> None:
    code, right = wetland_code(text), wetland_code(meant)
    assert code is not None
    assert right is not None
    assert code.misspelt
    assert wetland_class(code) == wetland_class(right)


@pytest.mark.parametrize("text", ["", "upland", "PXX1E", "P1FO1E", "M3UBL", "42"])
def test_what_is_no_code_is_none(text: str) -> None:
    assert wetland_code(text) is None


def test_misspelt_and_unreadable_codes_are_named() -> None:
    words = misspelt_words(["PFO1E", "PF01E", "PF01E", "swampy", "None", ""], "layer wetlands")
    assert words == (
        "layer wetlands: 'PF01E' (2 times) is misspelt, a figure for a letter or the like, and was read as meant",
        "layer wetlands: 'swampy' is no code of the wetland inventory and was taken as unknown",
        "layer wetlands: 2 features without a code were taken as unknown",
    )
