from importlib import import_module
from pathlib import Path

import pytest

from hushwalk.errors import OutputError, SettingsError
from hushwalk.morning.report import Report
from hushwalk.outputs.registry import MAKERS, PAPERS, walk_products
from hushwalk.outputs.walk import gpx
from hushwalk.outputs.write import write

NAMES = {
    "map.html",
    "sheet_a4.pdf",
    "sheet_letter.pdf",
    "walk.gpx",
    "walk.kml",
    "walk.geojson",
    "walk.gpkg",
    "summary.json",
}


def written(report: Report, folder: Path, papers: tuple[str, ...] = PAPERS) -> list[Path]:
    return [file.path for file in write(walk_products(report, papers), folder)]


def test_everything_is_written_and_twice_the_same(report: Report, tmp_path: Path) -> None:
    first = written(report, tmp_path / "new" / "out")
    assert first[0].name == "map.html"
    assert {path.name for path in (tmp_path / "new" / "out").iterdir()} == NAMES == {path.name for path in first}
    before = {path.name: path.read_bytes() for path in first}
    assert {path.name: path.read_bytes() for path in written(report, tmp_path / "new" / "out")} == before


def test_a_fault_half_way_leaves_what_was_there(
    report: Report, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "map.html").write_text("the map of yesterday", encoding="utf-8")

    def full(_: Report) -> str:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(gpx, "gpx_text", full)
    with pytest.raises(OutputError, match="No space left on device; choose another folder with --out"):
        written(report, tmp_path, ())
    assert [path.name for path in tmp_path.iterdir()] == ["map.html"]
    assert (tmp_path / "map.html").read_text("utf-8") == "the map of yesterday"


def test_a_maker_that_says_how_to_mend_it_is_not_talked_over(
    report: Report, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def unfit(_: Report) -> str:
        raise OutputError("a reach of 50 km fits no map of the report")

    monkeypatch.setattr(gpx, "gpx_text", unfit)
    with pytest.raises(OutputError, match=r"^a reach of 50 km fits no map of the report$"):
        written(report, tmp_path, ())
    assert list(tmp_path.iterdir()) == []


def test_a_file_in_the_place_of_the_folder_is_told(report: Report, tmp_path: Path) -> None:
    (tmp_path / "out").write_text("", encoding="utf-8")
    with pytest.raises(OutputError, match="cannot be written to"):
        written(report, tmp_path / "out", ())


def test_an_unknown_paper_writes_nothing(report: Report, tmp_path: Path) -> None:
    with pytest.raises(SettingsError):
        written(report, tmp_path, ("a3",))
    assert list(tmp_path.iterdir()) == []


def test_every_maker_of_the_registry_is_there() -> None:
    for maker in MAKERS.values():
        module, _, function = maker.partition(":")
        assert callable(getattr(import_module(module), function)), maker
