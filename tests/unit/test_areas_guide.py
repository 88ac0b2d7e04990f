"""The area file of the guide can be read, and so can every line of it that is shown as a remark."""

import re
from pathlib import Path

from hushwalk.regions.region_file import parse_area_file

GUIDE = Path(__file__).resolve().parents[2] / "docs" / "guide" / "areas.md"


def test_the_area_file_of_the_guide_can_be_read_with_and_without_its_remarks() -> None:
    text = GUIDE.read_text(encoding="utf-8").split("```toml\n")[1].split("```")[0]
    bare = parse_area_file(text)
    assert bare.drive is None
    full = parse_area_file(re.sub(r"(?m)^# (?=[\w\[])", "", text))
    assert full.region.bounds is not None
    assert full.drive is not None
    assert full.drive.speeds_kmh == {"paved": 80.0, "gravel": 45.0}
    assert full.scouted is not None
    assert bare.places.spacing_m == full.places.spacing_m
