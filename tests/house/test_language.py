"""The language of the house: coined words stay out, one name stands for one thing, docstrings have their sections.

What is left from before is counted in bounds.toml and may only shrink; each fault names what is there now.
"""

import importlib.util
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
BOUNDS = tomllib.loads((ROOT / "tests" / "house" / "bounds.toml").read_text(encoding="utf-8"))
_spec = importlib.util.spec_from_file_location("house_report", ROOT / "docs" / "house_report.py")
assert _spec is not None
assert _spec.loader is not None
house = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(house)


@pytest.mark.parametrize(
    ("kind", "measure"),
    [
        ("coined_names", house.coined_names),
        ("coined_texts", house.coined_texts),
        ("docstring_sections", house.docstring_faults),
    ],
)
def test_no_room_holds_more_than_was_left(kind: str, measure: object) -> None:
    found = measure(ROOT)
    over = {room: n for room, n in house.counts(found).items() if n > BOUNDS[kind].get(room, 0)}
    listed = {path: hits for path, hits in found.items() if set(house.counts({path: hits})) & set(over)}
    assert over == {}, listed


def test_a_class_name_and_a_file_name_stand_for_one_thing() -> None:
    classes, stems = house.twins(ROOT)
    assert {name: where for name, where in classes.items() if name not in BOUNDS["class_twins"]} == {}
    assert {name: where for name, where in stems.items() if name not in BOUNDS["stem_twins"]} == {}


def test_every_public_name_is_used_by_the_program_itself() -> None:
    assert [n for n in house.unused_names(ROOT) if n.split(": ")[1] not in BOUNDS["unused_names"]] == []


def test_every_package_that_is_imported_is_declared_and_the_other_way_round() -> None:
    assert house.undeclared_imports(ROOT) == {}
    assert house.unused_dependencies(ROOT) == set()


def test_nothing_reads_a_format_that_runs_code() -> None:
    wanted = {"pickle", "cPickle", "dill", "cloudpickle", "joblib", "marshal", "shelve"}
    assert {path: names & wanted for path, names in house.packages_of(ROOT).items() if names & wanted} == {}
    kept = [p for p in house.modules(ROOT) if "allow_pickle=True" in (ROOT / "src" / "hushwalk" / p).read_text("utf-8")]
    assert kept == []


def test_the_measures_see_what_they_should(tmp_path: Path) -> None:
    room = tmp_path / "src" / "hushwalk" / "planning"
    room.mkdir(parents=True)
    (room / "lanes.py").write_text(
        "import pickle\nimport strange\nclass Two: ...\n"
        "def solve(a, b, told):\n    '''Solve it.'''\n    if a:\n        raise ValueError(a)\n    return a\n"
    )
    (room.parent / "lanes.py").write_text("class Two: ...\nimport hushwalk.planning.lanes\n")
    (tmp_path / "pyproject.toml").write_text("[project]\ndependencies = ['numpy>=2']\n")
    assert house.coined_names(tmp_path) == {"planning/lanes.py": ["lanes", "told"]}
    assert list(house.twins(tmp_path)[0]) == ["Two"]
    assert list(house.twins(tmp_path)[1]) == ["lanes"]
    assert house.docstring_faults(tmp_path) == {"planning/lanes.py": ["solve lacks Parameters, Returns, Raises"]}
    assert house.unused_names(tmp_path) == ["lanes.py: Two", "planning/lanes.py: Two", "planning/lanes.py: solve"]
    assert house.undeclared_imports(tmp_path) == {"strange": {"planning/lanes.py"}}
    assert house.unused_dependencies(tmp_path) == {"numpy"}
    assert "pickle" in house.packages_of(tmp_path)["planning/lanes.py"]
    assert house.touched_by(tmp_path, "lanes.py") == {"lanes.py", "planning/lanes.py"}
