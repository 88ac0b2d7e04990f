"""GPX 1.1: every file that is written keeps to the schema.

Source: tests/published/data/gpx_1_1.xsd, the official schema of the format (see data/README.md).
"""

import importlib.util
from datetime import timedelta
from pathlib import Path

import pytest
from lxml import etree

from hushwalk.outputs.walk.gpx import GpxLimits, gpx_text

HERE = Path(__file__).parent
_spec = importlib.util.spec_from_file_location("made_report", HERE.parent / "made_report.py")
made = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(made)

SPACE = "{http://www.topografix.com/GPX/1/1}"


@pytest.fixture(scope="module")
def schema() -> etree.XMLSchema:
    return etree.XMLSchema(etree.parse(HERE / "data" / "gpx_1_1.xsd"))


@pytest.mark.parametrize("limits", [GpxLimits(), GpxLimits(6, 10, 30, 5.0)])
@pytest.mark.parametrize("title", ["North Spur", made.NAUGHTY])
def test_what_is_written_is_valid(schema: etree.XMLSchema, limits: GpxLimits, title: str) -> None:
    root = etree.fromstring(gpx_text(made.made_report(title=title), limits).encode("utf-8"))
    schema.assertValid(root)
    assert root.get("version") == "1.1"
    assert [child.tag.removeprefix(SPACE) for child in root][:2] == ["metadata", "wpt"]


def test_times_are_in_utc() -> None:
    report = made.made_report()
    root = etree.fromstring(gpx_text(report).encode("utf-8"))
    written = [time.text for time in root.iter(f"{SPACE}time")]
    assert all(text.endswith("Z") for text in written)
    assert written[0] == (report.depart - report.depart.utcoffset()).strftime("%Y-%m-%dT%H:%M:%SZ")
    assert report.depart.utcoffset() == timedelta(hours=-5)


def test_the_schema_refuses_what_the_format_forbids(schema: etree.XMLSchema) -> None:
    text = gpx_text(made.made_report())
    for good, bad in (('lon="-91.', 'lon="191.'), ("<ele>", "<height>"), ('version="1.1"', 'version="1.0"')):
        broken = text.replace(good, bad).replace("</ele>", "</height>" if bad == "<height>" else "</ele>")
        assert broken != text
        assert not schema.validate(etree.fromstring(broken.encode("utf-8")))
