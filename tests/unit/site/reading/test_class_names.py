"""Names of classes beside a raster."""

from pathlib import Path

import pandas as pd
import pyogrio

from hushwalk.site.reading.class_names import class_names_of
from hushwalk.site.reading.cover import by_vegetation_names, cover_kinds, crosswalk

ASPEN, PINE = "Rocky Mountain Aspen Forest and Woodland", "Laurentian Jack Pine-Red Pine Forest"


def test_names_come_from_a_table_beside_the_raster(tmp_path: Path) -> None:
    assert class_names_of(str(tmp_path / "evt.tif")) == {}
    (tmp_path / "evt.csv").write_text(f"VALUE,EVT_NAME,R\n9999,{ASPEN},1\n-9999,Fill-NoData,0\n", encoding="utf-8-sig")
    assert class_names_of(str(tmp_path / "evt.tif")) == {9999: ASPEN, -9999: "Fill-NoData"}
    table = pd.DataFrame({"Value": [7011], "Count": [4], "EVT_NAME": [PINE]})
    pyogrio.write_dataframe(table, tmp_path / "evt.tif.vat.dbf", driver="ESRI Shapefile")
    assert class_names_of(str(tmp_path / "evt.tif")) == {7011: PINE}


def test_a_table_without_names_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "evt.csv").write_text("Value,Count\n3011,5\n", encoding="utf-8")
    assert class_names_of(str(tmp_path / "evt.tif")) == {}


def test_names_go_before_numbers() -> None:
    walk = by_vegetation_names(crosswalk("landfire_evt"), {3011: PINE, 9999: ASPEN})
    assert {code: cover_kinds()[kind].key for code, kind in walk.kinds.items()} == {3011: "pine", 9999: "aspen"}
