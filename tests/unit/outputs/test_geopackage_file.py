"""Tables as one GeoPackage: the same bytes for the same date, and one clear error where there is no room."""

import tempfile
from datetime import UTC, datetime
from pathlib import Path

import geopandas as gpd
import pytest
from shapely import Point

from hushwalk.errors import OutputError
from hushwalk.outputs.kit import geopackage_file
from hushwalk.outputs.kit.geopackage_file import geopackage_content

ROWS = gpd.GeoDataFrame([{"name": "P01", "geometry": Point(700_000, 5_250_000)}], geometry="geometry", crs=32615)
NONE = ROWS.iloc[:0]


def test_the_same_tables_and_date_give_the_same_bytes(tmp_path: Path) -> None:
    when = datetime(2027, 4, 24, 5, 0, tzinfo=UTC)
    made = geopackage_content({"stops": ROWS, "empty": NONE, "again": ROWS}, when)
    assert made == geopackage_content({"stops": ROWS, "empty": NONE, "again": ROWS}, when)
    (tmp_path / "read.gpkg").write_bytes(made)
    assert set(gpd.list_layers(tmp_path / "read.gpkg").name) == {"stops", "again"}


def test_a_temporary_folder_that_is_no_use_is_one_clear_error(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(geopackage_file, "TemporaryDirectory", lambda: Gone(tmp_path / "gone"))
    with pytest.raises(OutputError, match="TMPDIR"):
        geopackage_content({"stops": ROWS})


class Gone:
    """A temporary folder that is not there."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __enter__(self) -> str:
        assert tempfile.gettempdir()
        return str(self.path)

    def __exit__(self, *_: object) -> None:
        return None
