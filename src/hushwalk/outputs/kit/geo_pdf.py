"""Tells a reader of the sheet where on the earth each map lies (ISO 32000 viewport with a geospatial measure).

Drawing is done; this only adds dictionaries to the pages.
"""

import io
from collections.abc import Mapping

import numpy as np
from pypdf import PdfReader, PdfWriter
from pypdf.generic import ArrayObject, DictionaryObject, FloatObject, NameObject, NumberObject, TextStringObject
from pyproj import CRS

from hushwalk.grid.points import to_lonlat
from hushwalk.outputs.kit.paper import MM, MapPage


def with_places(sheet: bytes, epsg: int, maps: tuple[MapPage, ...]) -> bytes:
    """Add the place of every map to a sheet whose first pages are the maps.

    Parameters
    ----------
    sheet : the PDF.
    epsg : of the grid that the maps are drawn on.
    maps : in the order of the pages.

    Returns
    -------
    bytes
        The PDF with a viewport on each map page.

    Notes
    -----
    The corners of the frame are given as latitude and longitude (GPTS) beside their place in the frame (LPTS).

    References
    ----------
    iso_32000
    """
    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(sheet)))
    for page, drawn in zip(writer.pages, maps, strict=False):
        page[NameObject("/VP")] = ArrayObject([_viewport(epsg, drawn)])
    kept = io.BytesIO()
    writer.write(kept)
    return kept.getvalue()


def _viewport(epsg: int, page: MapPage) -> DictionaryObject:
    left, bottom, width, height = (side * MM for side in page.sheet.frame_mm)
    west, south, east, north = page.bounds_m
    corners = to_lonlat(epsg, [(west, south), (west, north), (east, north), (east, south)])
    unit = _numbers([0, 0, 0, 1, 1, 1, 1, 0])
    measure = {
        "/Type": NameObject("/Measure"),
        "/Subtype": NameObject("/GEO"),
        "/Bounds": unit,
        "/LPTS": unit,
        "/GPTS": _numbers(np.asarray(corners)[:, ::-1].ravel().tolist()),
        "/GCS": _dictionary(
            {
                "/Type": NameObject("/PROJCS"),
                "/EPSG": NumberObject(epsg),
                "/WKT": TextStringObject(CRS.from_epsg(epsg).to_wkt("WKT1_ESRI")),
            }
        ),
    }
    return _dictionary(
        {
            "/Type": NameObject("/Viewport"),
            "/Name": TextStringObject("map"),
            "/BBox": _numbers([left, bottom, left + width, bottom + height]),
            "/Measure": _dictionary(measure),
        }
    )


def _numbers(values: list[float]) -> ArrayObject:
    return ArrayObject([FloatObject(round(value, 9)) for value in values])


def _dictionary(entries: Mapping[str, object]) -> DictionaryObject:
    return DictionaryObject({NameObject(key): value for key, value in entries.items()})
