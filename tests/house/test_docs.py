"""The documents say only what is there: links, files of the package, keys of sources, the picture of the house."""

import re
import runpy
import tomllib
from pathlib import Path

import pytest

from hushwalk.sources import all_sources

ROOT = Path(__file__).resolve().parents[2]
PAGES = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md"), ROOT / "maps" / "README.md"])
LINK = re.compile(r"\]\(([^)#:]+)(?:#[^)]*)?\)")
FILE = re.compile(r"`([a-z_]+/(?:[a-z0-9_]+/)*(?:[a-z0-9_]+\.py)?)`")
KEY = re.compile(r"(?<![a-z_])(?!test_)[a-z]+(?:_[a-z]+)*_(?:18|19|20)\d\d(?:_[a-z0-9]+)?(?![a-z0-9_])")


def name_of(path: Path) -> str:
    return str(path.relative_to(ROOT))


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_every_link_of_a_page_leads_somewhere(page: Path) -> None:
    links = LINK.findall(page.read_text(encoding="utf-8"))
    links = [link for link in links if not link.startswith("made/")]  # made with the site, which fails without them
    assert [link for link in links if not (page.parent / link).exists()] == []


SCIENCE = [*sorted((ROOT / "docs" / "science").glob("*.md")), ROOT / "docs" / "nomenclature.md"]


@pytest.mark.parametrize("page", SCIENCE, ids=name_of)
def test_files_and_sources_that_a_page_names_exist(page: Path) -> None:
    words = page.read_text(encoding="utf-8")
    folders = (ROOT, ROOT / "src" / "hushwalk", ROOT / "docs" / "science")
    assert [name for name in FILE.findall(words) if not any((folder / name).exists() for folder in folders)] == []
    assert sorted(set(KEY.findall(words)) - set(all_sources())) == []


def test_the_picture_of_the_house_is_the_one_that_its_script_draws() -> None:
    drawn = runpy.run_path(str(ROOT / "docs" / "draw_house.py"))["picture"]()
    assert (ROOT / "docs" / "house.svg").read_text(encoding="utf-8") == drawn, "run python docs/draw_house.py"
    named = re.findall(r'font-size="14">([a-z_]+)/([a-z_./]+\.py)', drawn)
    assert len(named) > 6
    assert [f"{room}/{file}" for room, file in named if not (ROOT / "src" / "hushwalk" / room / file).exists()] == []


def test_the_citation_is_one_by_the_citation_file_format_and_of_this_version() -> None:
    """Citation File Format 1.2.0: what a file must hold, and of which types (from memory)."""
    yaml = pytest.importorskip("yaml")
    said = yaml.safe_load((ROOT / "CITATION.cff").read_text(encoding="utf-8"))
    assert {"cff-version", "message", "title", "authors"} <= set(said)
    assert said["type"] == "software"
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert said["version"] == project["version"]
    assert said["license"] == project["license"]
    for one in said["references"]:
        assert {"type", "title", "authors"} <= set(one)
