"""The house rules that a machine can check: sizes, first lines, sources, no paths of a machine."""

import ast
import re
import subprocess
import tomllib
from pathlib import Path

import pytest

from hushwalk.sources import all_sources, cite

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "hushwalk"
FILES = sorted(SOURCE.rglob("*.py"))
WALL_OF_A_FILE = 400
WALL_OF_A_FUNCTION = 60
PUBLIC_NAMES = 12
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "CHANGES.md", "LICENSE", "CITATION.cff", "pyproject.toml", "uv.lock", "Makefile",
    "src", "tests", "data_demo", "maps", "docs",
}  # fmt: skip
CITED = re.compile(r"^(definition|judgement: .{3,}|[a-z0-9_]+)$")


def name_of(path: Path) -> str:
    return str(path.relative_to(SOURCE))


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_a_file_stays_below_the_wall_and_says_what_lives_there(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    assert text.count("\n") <= WALL_OF_A_FILE
    head = ast.get_docstring(tree)
    assert head
    if path.name != "__init__.py":
        assert len([line for line in head.splitlines() if line.strip()]) >= 2, "say what lives here and what does not"
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]
    long = [f.name for f in functions if (f.end_lineno or 0) - f.lineno + 1 - doc_lines(f) > WALL_OF_A_FUNCTION]
    assert long == []


def doc_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    doc = ast.get_docstring(function, clean=False)
    return doc.count("\n") + 1 if doc else 0


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_a_file_gives_at_most_a_dozen_public_names(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    public = [
        node.name
        for node in tree.body
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_")
    ]
    listed = {"errors.py", "settings.py", "report.py"}  # lists of nouns by design
    if path.name not in listed and path.parent.name != "wording":  # a file of wording holds every sentence of a subject
        assert len(public) <= PUBLIC_NAMES, public


@pytest.mark.skipif(not (ROOT / ".git").exists(), reason="no checkout: what belongs to the product is not known")
def test_nothing_new_lies_at_the_top() -> None:
    kept = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    top = {name.partition("/")[0] for name in kept.splitlines()}
    assert {name for name in top if not name.startswith(".")} == TOP_LEVEL


def test_no_room_of_the_house_is_called_by_a_word_that_says_nothing() -> None:
    forbidden = {"utils", "helpers", "common", "core", "base", "manager", "engine"}
    assert [name_of(p) for p in FILES if p.stem in forbidden] == []


def every_source_in(value: object) -> list[str]:
    if isinstance(value, dict):
        own = [v for k, v in value.items() if k in {"source", "sources"} or k.endswith("_source")]
        flat = [s for v in own for s in (v if isinstance(v, list) else [v])]
        return flat + [s for v in value.values() for s in every_source_in(v)]
    if isinstance(value, list):
        return [s for item in value for s in every_source_in(item)]
    return []


DATA = [p for p in sorted((SOURCE / "data").rglob("*.toml")) if p.parent.name != "sources"]


@pytest.mark.parametrize("path", DATA, ids=name_of)
def test_every_number_in_the_data_has_a_source_that_exists(path: Path) -> None:
    cited = every_source_in(tomllib.loads(path.read_text(encoding="utf-8")))
    assert cited, "a data file without any source"
    for key in cited:
        assert CITED.match(key), key
        cite(key)


def test_every_source_says_how_much_of_it_was_read() -> None:
    marks = {"full text", "abstract", "second hand", "from memory"}
    assert {s.key: s.found for s in all_sources().values() if s.found not in marks} == {}


def test_no_path_of_a_machine_and_no_word_of_how_it_was_made() -> None:
    said = []
    for path in [*FILES, *sorted((ROOT / "tests").rglob("*.py")), *sorted((ROOT / "docs").rglob("*.md"))]:
        text = path.read_text(encoding="utf-8")
        if path.name != Path(__file__).name and re.search(r"(?<![\w.])/(work|root|home|farm)/[a-z]", text):
            said.append(str(path.relative_to(ROOT)))
    assert said == []


def test_the_published_checks_are_there() -> None:
    checks = list((ROOT / "tests" / "published").glob("test_*.py"))
    assert len(checks) >= 10
    for path in checks:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        assert ast.get_docstring(tree), f"{path.name} names its source in its first lines"
        tests = [n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef) and n.name.startswith("test_")]
        assert tests, f"{path.name} holds no test"
