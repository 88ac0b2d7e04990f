"""`make demo` gives the same bytes each time, and leaves no file that git would see."""

import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from hushwalk.cli import hushwalk

ROOT = Path(__file__).resolve().parents[2]
SMALL = ("reach_m = 2500.0", "reach_m = 900.0")
FEWER = {"--steps": "200", "--proof-steps": "2"}


def demo_words() -> list[str]:
    """Words of the command that `make demo` runs, from `plan` on."""
    lines = (ROOT / "Makefile").read_text(encoding="utf-8").splitlines()
    scoring = lines[next(k for k, line in enumerate(lines) if line.startswith("demo:")) + 1]
    return shlex.split(scoring)[1:]


def smaller(trip: Path, out: Path) -> list[str]:
    """Words of the demo's command for another trip, with fewer steps."""
    words = demo_words()
    for option, value in {**FEWER, "--out": str(out)}.items():
        words[words.index(option) + 1] = value
    words[1] = str(trip)
    return [*words, "--fresh"]


def files_of(out: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in out.iterdir()}


def test_a_new_process_and_one_that_has_run_before_give_the_same_bytes(demo_folder: Path, tmp_path: Path) -> None:
    whole = (demo_folder / "trip.toml").read_text(encoding="utf-8")
    assert SMALL[0] in whole
    (tmp_path / "trip.toml").write_text(whole.replace(*SMALL).replace('path = "', f'path = "{demo_folder}/'))
    trip, out = tmp_path / "trip.toml", tmp_path / "out"
    run = [sys.executable, "-m", "hushwalk", *smaller(trip, out)]
    subprocess.run(run, check=True, capture_output=True)
    first = files_of(out)
    shutil.rmtree(out)
    said = CliRunner().invoke(hushwalk, smaller(trip, out), catch_exceptions=False)
    assert said.exit_code == 0, said.output
    second = files_of(out)
    assert len(first) > 6
    assert [name for name in first if first[name] != second[name]] == []
    assert b'"gap"' in first["summary.json"]


def test_git_does_not_see_what_the_demo_writes() -> None:
    if not (ROOT / ".git").exists():
        pytest.skip("no git checkout")
    words = demo_words()
    out = words[words.index("--out") + 1]
    subprocess.run(["git", "check-ignore", "--quiet", f"{out}/map.html"], cwd=ROOT, check=True)
