"""Compiled code of one version is never loaded by another."""

import os
import pickle
import shutil
import stat
import subprocess
import sys
from pathlib import Path

import numba
import pytest

from hushwalk.compile_cache import BROUGHT_ALONG, PROCESSOR, VARIABLE, compiles_for_now, keep_apart, pack

KERNEL = """
from numba import njit

@njit(cache=True)
def area(side):
    return side * side
"""
CALLED = """
import os, sys
from pathlib import Path
from hushwalk.compile_cache import VARIABLE, keep_apart

package, compiled, *locked = sys.argv[1:]
del os.environ[VARIABLE]
if compiled:
    os.environ[VARIABLE] = compiled
if locked:
    may = os.access
    os.access = lambda path, mode: Path(package) not in (path, *path.parents) and may(path, mode)
keep_apart("1", Path(package))
sys.path.insert(0, str(Path(package).parent))
from wood.room.kernels import area
print(area(3.0), "taken" if area.stats.cache_hits else "compiled", os.environ[VARIABLE])
"""


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
    assert first.is_dir()
    (package / "kernel.py").rename(package / "other.py")
    second = kept(package, "1")
    assert second != first
    assert not first.exists()
    assert kept(package, "2") not in {first, second}
    assert not second.exists()


def test_what_a_person_has_set_is_kept(package: Path) -> None:
    os.environ.update({VARIABLE: "elsewhere", PROCESSOR: "host"})
    keep_apart("1", package)
    assert (os.environ[VARIABLE], os.environ[PROCESSOR]) == ("elsewhere", "host")


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
    assert os.environ[PROCESSOR] == "generic"
    ((remove, *what),) = after
    remove(*what)  # type: ignore[operator]
    assert not folder.exists()
    readable.clear()
    assert kept(package, "1").parent.parent == package
    readable.add(package)
    shutil.rmtree(package / "__pycache__")
    (package / "home").mkdir()
    assert kept(package, "1").parent == package / "home" / "hushwalk"
    assert not compiles_for_now()


def called(package: Path, compiled: Path | None = None, *how: str, **surroundings: str) -> tuple[str, str, Path]:
    """Call the kernel of a package in a process of its own: what it gives, taken or compiled, where that is kept."""
    done = subprocess.run(
        [sys.executable, "-c", CALLED, str(package), str(compiled or ""), *how],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, PROCESSOR: "generic", **surroundings},
    )
    value, was, where = done.stdout.split(maxsplit=2)
    return value, was, Path(where.strip())


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A package that brings along compiled code, and lies elsewhere than where that was made."""
    folder = tmp_path_factory.mktemp("built")
    kernels = folder / "wood" / "room" / "kernels.py"
    kernels.parent.mkdir(parents=True)
    kernels.write_text(KERNEL, encoding="utf-8")
    assert called(folder / "wood", folder / "compiled")[1] == "compiled"
    pack(folder / "compiled", folder / "wood")
    return folder / "wood"


@pytest.fixture
def installed(built: Path, tmp_path: Path) -> Path:
    """The same package on another machine: other folders, other times of files."""
    found = shutil.copytree(built, tmp_path / "wood", copy_function=shutil.copyfile)
    os.utime(found / "room" / "kernels.py", (0, 0))
    return found


def test_code_that_is_brought_along_is_taken(installed: Path) -> None:
    value, was, where = called(installed)
    assert (value, was, where.parent) == ("9.0", "taken", installed / "__pycache__")
    assert not list(where.parent.glob("begin-*"))


def test_it_is_taken_where_the_package_cannot_be_written(installed: Path, tmp_path: Path) -> None:
    brought = [*(installed / BROUGHT_ALONG).rglob("*")]
    for path in brought:
        path.chmod(0o555 if path.is_dir() else 0o444)
    value, was, where = called(installed, None, "locked", XDG_CACHE_HOME=str(tmp_path / "own"))
    assert (value, was, where.parent) == ("9.0", "taken", tmp_path / "own" / "hushwalk")
    assert not (installed / "__pycache__").exists()
    copied = [*where.rglob("*")]
    assert {path.name for path in copied if path.is_file()} == {path.name for path in brought if path.is_file()}
    assert all(path.stat().st_mode & stat.S_IWUSR for path in copied)


def test_it_is_not_taken_for_a_source_that_has_changed(installed: Path) -> None:
    (installed / "room" / "kernels.py").write_text(KERNEL.replace("side * side", "side + side"), encoding="utf-8")
    assert called(installed)[:2] == ("6.0", "compiled")


def test_it_is_not_taken_for_another_processor(installed: Path) -> None:
    assert called(installed, **{PROCESSOR: "host"})[:2] == ("9.0", "compiled")


def test_it_is_not_taken_by_another_version_of_the_compiler(installed: Path) -> None:
    (index,) = (installed / BROUGHT_ALONG).rglob("*.nbi")
    own = pickle.dumps(numba.__version__, protocol=-1)
    assert index.read_bytes().startswith(own)
    index.write_bytes(pickle.dumps("0.1.0", protocol=-1) + index.read_bytes().removeprefix(own) + b"of another kind")
    assert called(installed)[:2] == ("9.0", "compiled")
