from datetime import UTC, datetime

import pytest

from hushwalk.errors import InputError, MissingFileError
from hushwalk.files import gpx_in
from hushwalk.files.gpx_in import read_gpx

POINT = '<wpt lat="46.8" lon="-92.1"><time>2027-04-25T06:12:00{zone}</time><name>A &amp; B</name><cmt>c</cmt></wpt>'


def written(tmp_path, text):
    path = tmp_path / "a.gpx"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    "space", [' xmlns="http://www.topografix.com/GPX/1/0"', ' xmlns="http://www.topografix.com/GPX/1/1"', ""]
)
@pytest.mark.parametrize(("zone", "hour"), [("Z", 6), ("-05:00", 11), ("", 6)])
def test_waypoints_of_both_versions_with_times_in_any_zone(tmp_path, space, zone, hour):
    read = read_gpx(written(tmp_path, f"<gpx{space}>{POINT.format(zone=zone)}</gpx>"))
    (point,) = read.waypoints
    assert (point.number, point.name, point.comment, point.lonlat) == (1, "A & B", "c", (-92.1, 46.8))
    assert point.time == datetime(2027, 4, 25, hour, 12, tzinfo=UTC)


def test_elements_of_other_makers_are_passed_over(tmp_path):
    other = '<x:wpt xmlns:x="http://example.org/x" lat="1" lon="1"/>'
    inner = POINT.format(zone="Z").replace("</wpt>", f"<extensions>{other}</extensions></wpt>")
    read = read_gpx(written(tmp_path, f'<gpx xmlns="http://www.topografix.com/GPX/1/1">{other}{inner}</gpx>'))
    assert len(read.waypoints) == 1


def test_a_track_is_its_segments_joined(tmp_path):
    track = '<trkseg><trkpt lat="1" lon="2"/><trkpt lat="x" lon="2"/></trkseg><trkseg><trkpt lat="3" lon="4"/></trkseg>'
    read = read_gpx(written(tmp_path, f"<gpx><trk><name>t</name>{track}</trk><trk/></gpx>"))
    assert [(t.name, t.lonlats, t.times) for t in read.tracks] == [("t", ((2, 1), (4, 3)), (None, None))]
    assert read.refused == ("a.gpx track 't': 1 points are no places on earth",)


def test_a_file_that_is_not_there_or_too_large(tmp_path, monkeypatch):
    with pytest.raises(MissingFileError, match=r"b\.gpx"):
        read_gpx(tmp_path / "b.gpx")
    monkeypatch.setattr(gpx_in, "SIZE_MAX", 10)
    with pytest.raises(InputError, match="larger than"):
        read_gpx(written(tmp_path, "<gpx></gpx>" * 10))


# limits of latitudeType and longitudeType: the schema of GPX 1.1
@pytest.mark.parametrize(("lat", "lon"), [("90.001", "0"), ("-90.001", "0"), ("0", "180.001"), ("0", "-180.001")])
def test_a_place_that_is_not_on_earth_is_refused_with_its_numbers(tmp_path, lat, lon):
    wrong = f'<wpt lat="{lat}" lon="{lon}"><name>X</name></wpt>'
    edge = '<wpt lat="90" lon="-180"><name>Y</name></wpt>'
    read = read_gpx(written(tmp_path, f"<gpx>{wrong}{edge}</gpx>"))
    assert [point.name for point in read.waypoints] == ["Y"]
    assert "no place on earth" in read.refused[0]
    assert lat in read.refused[0]


def test_a_document_type_is_refused_before_it_is_followed(tmp_path):
    bomb = '<!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa">]><gpx><wpt lat="1" lon="1"><name>&a;</name></wpt></gpx>'
    with pytest.raises(InputError, match="document type or entities"):
        read_gpx(written(tmp_path, bomb))
