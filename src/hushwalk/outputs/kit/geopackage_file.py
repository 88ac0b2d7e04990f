"""Tables as one GeoPackage (OGC 12-128r17), in bytes, so that it is written like every other product.

What stands in the tables is the business of walk/ and regions/.
"""

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

import geopandas as gpd
from pyogrio import set_gdal_config_options
from pyogrio.errors import DataSourceError

from hushwalk.errors import OutputError


def geopackage_content(
    tables: Mapping[str, gpd.GeoDataFrame], changed: datetime | None = None, credit: Sequence[str] = ()
) -> bytes:
    """Give tables as the bytes of a GeoPackage.

    Parameters
    ----------
    tables : name of the table -> rows; empty tables are left out.
    changed : the date of change that the format asks for, so that the same tables give the same file; now if not given.
    credit : sentences of credit, kept as metadata of each table.

    Returns
    -------
    bytes
        The whole file.

    Raises
    ------
    OutputError
        If the system's temporary folder cannot hold it.
    """
    if changed is not None:
        moment = changed.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.000Z")
        set_gdal_config_options({"OGR_CURRENT_DATE": moment})
    try:
        with TemporaryDirectory() as folder:
            path = Path(folder) / "tables.gpkg"
            for name, table in tables.items():
                if len(table):
                    mode = "a" if path.exists() else "w"
                    says = {"layer_metadata": {"credit": " ".join(f"{line}." for line in credit)}} if credit else {}
                    table.to_file(path, layer=name, driver="GPKG", engine="pyogrio", mode=mode, **says)
            return path.read_bytes()
    except (DataSourceError, OSError) as fault:
        raise OutputError(
            f"the GeoPackage cannot be made in the system's temporary folder: {fault}; free its space, "
            "or name another folder in the variable TMPDIR"
        ) from fault
    finally:
        set_gdal_config_options({"OGR_CURRENT_DATE": None})
