"""The one place that decides whether reading a layer may use the network, and which formats are read at all.

What a file holds is read in rasters.py and vectors.py; what a virtual raster draws on is checked in virtual_rasters.py.
"""

import os
import warnings
from collections.abc import Iterator, Mapping
from contextlib import contextmanager

import pyogrio
import rasterio
from pyogrio._ogr import _register_drivers

RASTER_FORMATS = (
    *("GTiff", "COG", "HFA", "AAIGrid", "GRASSASCIIGrid", "AIG", "EHdr", "ENVI", "SRTMHGT", "USGSDEM", "DTED", "LCP"),
    *("JP2OpenJPEG", "netCDF", "HDF5", "HDF5Image", "GPKG", "VRT", "XYZ", "GSAG", "GSBG", "GS7BG", "PCRaster"),
    *("RRASTER", "SAGA", "RST", "BT", "PNG", "JPEG"),
)
"""Formats of plain raster files, as the library names them; a file of another format is not opened."""

VECTOR_FORMATS = (
    *("GPKG", "ESRI Shapefile", "GeoJSON", "GeoJSONSeq", "TopoJSON", "ESRIJSON", "FlatGeobuf", "KML", "LIBKML", "GML"),
    *("GPX", "SQLite", "OpenFileGDB", "OSM", "MapInfo File", "DXF", "CSV", "MEM"),
)
"""Formats of plain vector files, as the library names them."""

NOWHERE = "http://127.0.0.1:9"  # definition: port of the discard service, where no proxy answers
SEALED: Mapping[str, str] = {
    "CPL_VSIL_CURL_ALLOWED_EXTENSIONS": ".none",
    "GDAL_HTTP_PROXY": NOWHERE,
    "GDAL_HTTPS_PROXY": NOWHERE,
    "GDAL_HTTP_MAX_RETRY": "0",
}
"""What both libraries are told while the network is not to be used: whatever a file names, no request leaves."""

HARMLESS: Mapping[str, str] = {"GDAL_VRT_ENABLE_PYTHON": "NO"}
"""What they are told always: no layer brings its own program. (grid/systems.py keeps PROJ from fetching grids.)"""

PROXIES = ("http_proxy", "https_proxy", "ftp_proxy", "all_proxy")
"""Variables that the library of netCDF, which has a way of its own to the network, is sealed by."""

PASSED_BY = ("NO_PROXY", "no_proxy")
"""Variables that name places to be reached past a proxy, so past the sealed one too."""


def _keep_plain_formats() -> None:
    """Take the drivers of services, pipelines and virtual layers out of the vector library, for this process."""
    before = os.environ.get("GDAL_SKIP")
    os.environ["GDAL_SKIP"] = ",".join(sorted(set(pyogrio.list_drivers()) - set(VECTOR_FORMATS)))
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # formats that this build does not have anyway
            _register_drivers()
    finally:
        _set({"GDAL_SKIP": before})


@contextmanager
def reach(*, network: bool) -> Iterator[None]:
    """Read layers inside this block without the network, or with it where a person has allowed it.

    Parameters
    ----------
    network : whether the network may be used. The rasters' and the vectors' library are told both by their own
        settings, which win over a settings file of the user, and by variables, which their other threads see.
    """
    options = dict(HARMLESS) if network else {**SEALED, **HARMLESS}
    variables: dict[str, str | None] = dict(options)
    if not network:
        variables |= dict.fromkeys(PROXIES, NOWHERE) | dict.fromkeys(PASSED_BY)
    before = {name: os.environ.get(name) for name in variables}
    own = {name: pyogrio.get_gdal_config_option(name) for name in options}  # shows variables as options, too
    with rasterio.Env(**options):  # entered before the variables are set: it puts back what it finds
        try:
            _set(variables)
            pyogrio.set_gdal_config_options(options)
            yield
        finally:
            _set(before)
            pyogrio.set_gdal_config_options(
                {name: None if own[name] is None or str(own[name]) == before[name] else own[name] for name in options}
            )


def _set(variables: Mapping[str, str | None]) -> None:
    for name, value in variables.items():
        if value is None:
            os.environ.pop(name, None)
        else:
            os.environ[name] = value


_keep_plain_formats()
