"""Compiled code of one version is never loaded by another."""

import os
import sys
from pathlib import Path

import pytest

from hushwalk.compile_cache import VARIABLE, compiles_for_now, keep_apart


@pytest.fixture
def package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(os, "environ", {})
    monkeypatch.delitem(sys.modules, "numba", raising=False)
    (tmp_path / "kernel.py").touch()
    return tmp_path


def kept(package: Path, version: str) -> Path:
    os.environ.pop(VARIABLE, None)
    keep_apart(version, package)
    return Path(os.environ[VARIABLE])


def test_the_same_modules_of_the_same_version_share_their_code(package: Path) -> None:
    assert kept(package, "1") == kept(package, "1")


def test_a_renamed_module_or_another_version_compiles_anew_and_drops_the_old(package: Path) -> None:
    first = kept(package, "1")
    first.mkdir(parents=True)
    (package / "kernel.py").rename(package / "other.py")
    second = kept(package, "1")
    assert second != first
    assert not first.exists()
    second.mkdir()
    assert kept(package, "2") not in {first, second}
    assert not second.exists()


def test_what_a_person_has_set_is_kept(package: Path) -> None:
    os.environ[VARIABLE] = "elsewhere"
    keep_apart("1", package)
    assert os.environ[VARIABLE] == "elsewhere"


def test_where_nothing_can_be_written_the_code_is_kept_for_now_and_known_to_be(
    package: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    after: list[tuple[object, ...]] = []
    monkeypatch.setattr("atexit.register", lambda *work, **_: after.append(work))
    may = os.access
    readable = {package, package / "home"}
    monkeypatch.setattr(os, "access", lambda path, mode: path not in readable and may(path, mode))
    os.environ["XDG_CACHE_HOME"] = str(package / "home")
    keep_apart("1", package)
    folder = Path(os.environ[VARIABLE])
    assert folder.is_dir()
    assert compiles_for_now()
    ((remove, *what),) = after
    remove(*what)  # type: ignore[operator]
    assert not folder.exists()
    readable.clear()
    assert kept(package, "1").parent.parent == package
    assert not compiles_for_now()
