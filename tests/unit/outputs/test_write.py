import os
import signal
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from hushwalk.errors import OutputError, SettingsError
from hushwalk.morning.report import Report
from hushwalk.outputs.registry import MAKERS, PAPERS, Product, walk_products
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


THREE = ("map.html", "walk.gpx", "summary.json")


class Ready(Product):
    """A product that is drawn already."""

    def content(self) -> bytes:
        return self.of[0]


class Full(Product):
    """A product for which there is no space."""

    def content(self) -> bytes:
        raise OSError(28, "No space left on device")


def of_day(day: str) -> list[Product]:
    return [Ready(name, "ready", (f"{name} of {day}".encode(),)) for name in THREE]


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def killed_at(move: int, products: list[Product], folder: Path) -> bool:
    """Write in a process that is killed just before it moves a file or a folder for that many times."""
    number = os.fork()
    if number == 0:
        left = iter(range(move))

        def counted(real: Any) -> Any:
            def moved(one: Path, to: Path) -> Path:
                if next(left, None) is None:
                    os.kill(os.getpid(), signal.SIGKILL)
                return real(one, to)

            return moved

        try:
            Path.replace, Path.rename = counted(Path.replace), counted(Path.rename)  # type: ignore[method-assign]
            write(products, folder)
        finally:
            os._exit(0)
    return os.WIFSIGNALED(os.waitpid(number, 0)[1])


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_a_kill_at_any_move_leaves_no_mixture_and_the_next_run_mends_it(tmp_path: Path) -> None:
    old, new, more = ({name: f"{name} of {day}".encode() for name in THREE} for day in ("old", "new", "next"))
    out, kills = tmp_path / "out", 0
    write(of_day("old"), out)
    (out / "my own.txt").write_bytes(b"mine")
    while killed_at(kills, of_day("new"), out):
        kills += 1
        now = contents(out)
        assert now.pop("my own.txt") == b"mine"
        assert now.items() <= old.items() or now.items() <= new.items(), "old and new side by side"
        with pytest.raises(OutputError, match="No space"):
            write([*of_day("next"), Full("late", "ready", ())], out)
        mended = contents(out)
        assert mended.pop("my own.txt") == b"mine"
        assert mended in (old, new), "the next run, even one that fails, ends what was begun"
        assert len(list(out.iterdir())) == 4
        write(of_day("old"), out)
    assert kills == 2 * len(THREE) + 1
    write(of_day("next"), out)
    assert contents(out) == {**more, "my own.txt": b"mine"}


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_a_new_folder_appears_whole_or_not_at_all(tmp_path: Path) -> None:
    assert killed_at(0, of_day("new"), tmp_path / "2027-04-24")
    assert not (tmp_path / "2027-04-24").exists()
    assert not killed_at(1, of_day("new"), tmp_path / "2027-04-24"), "there is one move"
    assert set(contents(tmp_path / "2027-04-24")) == set(THREE)
    assert [path.name for path in tmp_path.iterdir()] == ["2027-04-24"]


@pytest.mark.parametrize("move", range(6))
def test_a_file_that_cannot_be_moved_leaves_what_was_there(
    move: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(of_day("old"), tmp_path)
    left, real = iter(range(move)), Path.replace

    def locked_once(one: Path, to: Path) -> Path:
        if next(left, "gone") == "gone" and next(again, None) is not None:
            raise PermissionError(13, "locked by another program")
        return real(one, to)

    again = iter([1])
    monkeypatch.setattr(Path, "replace", locked_once)
    with pytest.raises(OutputError, match="locked by another program"):
        write(of_day("new"), tmp_path)
    assert contents(tmp_path) == {name: f"{name} of old".encode() for name in THREE}
    assert len(list(tmp_path.iterdir())) == 3


def test_a_folder_in_the_place_of_a_file_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "map.html").mkdir()
    (tmp_path / "map.html" / "mine").touch()
    with pytest.raises(OutputError, match=r"map\.html is a folder there"):
        write(of_day("new"), tmp_path)
    assert (tmp_path / "map.html" / "mine").exists()
    assert [path.name for path in tmp_path.iterdir()] == ["map.html"]
