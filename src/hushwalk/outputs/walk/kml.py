"""The walk for a phone's map: KML 2.2.

GPX for handheld receivers has its own file.
"""

import xml.etree.ElementTree as ET

import numpy as np
from shapely import LineString, get_coordinates

from hushwalk.morning.report import Report
from hushwalk.outputs.kit.palette import COLOURS
from hushwalk.outputs.walk.gpx import clean, utc
from hushwalk.outputs.walk.walk_data import in_degrees
from hushwalk.site.country import Geometry
from hushwalk.site.place import Place
from hushwalk.types import FloatArray
from hushwalk.wording.credit_words import credit_sentences
from hushwalk.wording.formats import headline, promise
from hushwalk.wording.stop_words import stop_lines

SPACE = "http://www.opengis.net/kml/2.2"


def kml_text(report: Report) -> str:
    """Write car, stops, walk, closed ground and ways back as KML.

    References
    ----------
    ogc_kml_2_2
    """
    root = ET.Element("kml", xmlns=SPACE)
    sheet = ET.SubElement(root, "Document")
    _words(sheet, "name", report.title)
    times = ", ".join(f"{what} {when}" for what, when in headline(report))
    credit = ". ".join(("", *credit_sentences(report.country.credits)))
    _words(sheet, "description", f"{promise(report)} {times}{credit}")
    for name, colour, width in (
        ("walk", COLOURS["walk"], 4),
        ("back", COLOURS["way_back"], 2),
        ("closed", COLOURS["closed"], 2),
    ):
        _style(sheet, name, colour, width)
    _place(sheet, report.car, "CAR", "")
    if report.start is not None:
        _place(sheet, report.start, "START", "")
    for stop in report.stops:
        lines = "; ".join(f"{what}: {words}" for what, words in stop_lines(report, stop))
        place = _place(sheet, stop.place, stop.place.name, lines)
        span = ET.SubElement(place, "TimeSpan")
        _words(span, "begin", utc(stop.arrive).strftime("%Y-%m-%dT%H:%M:%SZ"))
        _words(span, "end", utc(stop.leave).strftime("%Y-%m-%dT%H:%M:%SZ"))
    for leg in report.legs:
        _line(sheet, report, leg.line_m, f"{leg.start} to {leg.end}", "walk")
    for name, line in report.bail_outs:
        _line(sheet, report, line, f"{name} straight back", "back")
    for number, shape in enumerate(report.country.closed, start=1):
        name = f"closed ground {number}"
        if shape.geom_type == "LineString":
            _line(sheet, report, get_coordinates(shape), name, "closed")
        else:
            _area(sheet, in_degrees(report, shape), name)
    ET.indent(root, " ")
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"


def _words(parent: ET.Element, tag: str, words: str) -> ET.Element:
    child = ET.SubElement(parent, tag)
    child.text = clean(words)
    return child


def _style(parent: ET.Element, name: str, colour: str, width: int) -> None:
    style = ET.SubElement(parent, "Style", id=name)
    line = ET.SubElement(style, "LineStyle")
    _words(line, "color", f"ff{colour[5:7]}{colour[3:5]}{colour[1:3]}")  # KML writes alpha, blue, green, red
    _words(line, "width", str(width))
    _words(ET.SubElement(style, "PolyStyle"), "color", f"40{colour[5:7]}{colour[3:5]}{colour[1:3]}")


def _placemark(parent: ET.Element, name: str) -> ET.Element:
    place = ET.SubElement(parent, "Placemark")
    _words(place, "name", name)
    return place


def _place(parent: ET.Element, place: Place, name: str, lines: str) -> ET.Element:
    mark = _placemark(parent, name)
    if lines:
        _words(mark, "description", lines)
    point = ET.SubElement(mark, "Point")
    _words(point, "coordinates", f"{place.lon_deg:.7f},{place.lat_deg:.7f}")
    return mark


def _line(parent: ET.Element, report: Report, line_m: FloatArray, name: str, style: str) -> None:
    place = _placemark(parent, name)
    _words(place, "styleUrl", f"#{style}")
    line = ET.SubElement(place, "LineString")
    _words(line, "tessellate", "1")
    _words(line, "coordinates", _coordinates(get_coordinates(in_degrees(report, LineString(line_m)))))


def _area(parent: ET.Element, shape: Geometry, name: str) -> None:
    for part in getattr(shape, "geoms", [shape]):
        place = _placemark(parent, name)
        _words(place, "styleUrl", "#closed")
        area = ET.SubElement(place, "Polygon")
        for tag, ring in (
            ("outerBoundaryIs", part.exterior),
            *(("innerBoundaryIs", hole) for hole in part.interiors),
        ):
            line = ET.SubElement(ET.SubElement(area, tag), "LinearRing")
            _words(line, "coordinates", _coordinates(np.asarray(ring.coords)))


def _coordinates(lonlat: FloatArray) -> str:
    return " ".join(f"{lon:.7f},{lat:.7f}" for lon, lat in lonlat)
