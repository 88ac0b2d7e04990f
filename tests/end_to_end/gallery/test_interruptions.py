"""Runs that are stopped or killed: what stood there stays whole, and the next run gives what an unbroken one gives.

An ordinary run kills 6 writers; ``HUSHWALK_FULL_CHECKS=1`` kills 200 writers and 20 whole plans.
"""

import importlib.util
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from hushwalk.cli import main
from hushwalk.cli.stopping import STOPPED
from hushwalk.morning import cache as cache_file
from hushwalk.morning.cache import StepCache, step_cache_of
from hushwalk.morning.solved_plan import RunParams
from hushwalk.morning.story import plan_morning
from hushwalk.outputs.registry import walk_products
from hushwalk.outputs.write import write
from hushwalk.progress import Step
from hushwalk.site.trip_file import read_trip

FULL = bool(os.environ.get("HUSHWALK_FULL_CHECKS"))
WRITERS, PLANS = 200 if FULL else 6, 20
QUICK = RunParams(search_s=None, iterations=30, proof_nodes=3)
Country = Any
needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")


def made_report() -> Any:
    path = Path(__file__).resolve().parents[2] / "made_report.py"
    spec = importlib.util.spec_from_file_location("made_report_here", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.made_report(cells=120)


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def child(work: Any) -> int:
    """A process that does the work and ends without tidying up what is the test's."""
    number = os.fork()
    if number == 0:
        try:
            null = os.open(os.devnull, os.O_WRONLY)
            os.dup2(null, 1)
            os.dup2(null, 2)
            work()
        finally:
            os._exit(0)
    return number


@needs_fork
def test_a_killed_writer_leaves_the_old_files_or_the_new_ones(tmp_path: Path) -> None:
    report = made_report()
    old, new, out = tmp_path / "old", tmp_path / "new", tmp_path / "out"
    write(walk_products(report), old)
    began = time.monotonic()
    write(walk_products(replace(report, title="B")), new)
    takes_s = time.monotonic() - began
    before, after = contents(old), contents(new)
    assert all(before[name] != after[name] for name in ("map.html", "walk.gpx", "summary.json", "sheet_a4.pdf"))
    dice, killed = random.Random(9), 0  # noqa: S311 - moments, not secrets
    for _ in range(WRITERS):
        shutil.rmtree(out, ignore_errors=True)
        shutil.copytree(old, out)
        number = child(lambda: write(walk_products(replace(report, title="B")), out))
        time.sleep(dice.uniform(0, takes_s * 1.1))
        os.kill(number, signal.SIGKILL)
        in_time = os.WIFSIGNALED(os.waitpid(number, 0)[1])
        killed += in_time
        takes_s *= 1.1 if in_time else 0.7  # the machine may be busier or idler than it was when the first was timed
        now = contents(out)
        assert any(now.items() <= one.items() for one in (before, after)), "old and new files side by side"
    assert killed > WRITERS / 4, "hardly any writer was killed: the test shows nothing"
    write(walk_products(replace(report, title="B")), out)
    assert {path.name for path in out.iterdir()} == set(after), "what killed writers left behind is swept away"
    assert contents(out) == after


@needs_fork
@pytest.mark.skipif(not FULL, reason="twenty whole plans: HUSHWALK_FULL_CHECKS=1")
def test_a_killed_plan_leaves_the_old_outputs_and_the_next_run_gives_the_same_bytes(
    country: Country, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    trip, out = country.small_trip(), tmp_path / "out"
    words = ["plan", str(trip), "--steps", "30", "--proof", "0", "--out", str(out)]
    began = time.monotonic()
    main([*words, "--fresh"])
    takes_s = time.monotonic() - began
    reference = contents(out)
    monkeypatch.setenv("HUSHWALK_CACHE", str(tmp_path / "cache"))
    monkeypatch.setattr(cache_file, "WORTH_KEEPING_S", 0.0)
    dice = random.Random(9)  # noqa: S311 - moments, not secrets
    for _ in range(PLANS):
        number = child(lambda: main(words))
        time.sleep(dice.uniform(0, takes_s))
        os.kill(number, signal.SIGKILL)
        os.waitpid(number, 0)
        assert contents(out) == reference
    main(words)
    assert {path.name: path.read_bytes() for path in out.iterdir()} == reference
    assert any((tmp_path / "cache").glob("*.step"))


def test_a_second_run_takes_the_costly_steps_from_the_first_and_gives_the_same_bytes(
    country: Country, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HUSHWALK_CACHE", str(tmp_path / "cache"))
    settings = read_trip(country.small_trip())

    def run(name: str, **changed: Any) -> tuple[dict[str, bytes], int]:
        output: list[Step] = []
        trip = replace(settings, **changed)
        report = plan_morning(trip, QUICK, output.append, cache=step_cache_of(trip, worth_s=0.0))
        write(walk_products(report, ("a4",)), tmp_path / name)
        return contents(tmp_path / name), sum("earlier run" in step.name for step in output)

    first, taken = run("first")
    assert taken == 0
    assert run("second") == (first, 4)
    write(walk_products(plan_morning(settings, QUICK), ("a4",)), tmp_path / "bare")
    assert contents(tmp_path / "bare") == first, "with and without kept steps the outputs are the same"
    for step in (tmp_path / "cache").glob("*.step"):
        step.write_bytes(step.read_bytes()[:-20])
    assert run("third") == (first, 0), "broken steps are made anew"


def test_steps_are_found_again_only_where_settings_layers_and_owner_are_the_same(
    country: Country, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HUSHWALK_CACHE", str(tmp_path / "cache"))
    settings = read_trip(country.small_trip())

    def fresh(trip: Any) -> bool:
        """Whether a step of the trip is worked out anew."""
        done: list[int] = []
        step_cache_of(trip, worth_s=0.0).cached("a step", lambda: done.append(1) or 7)
        return bool(done)

    assert fresh(settings)
    assert not fresh(settings)
    assert fresh(replace(settings, seed=settings.seed + 1))
    assert fresh(replace(settings, walker=replace(settings.walker, pace_factor=1.1)))
    assert not fresh(settings)
    for step in (tmp_path / "cache").glob("*.step"):
        step.chmod(0o666)
    assert fresh(settings), "steps that others may have written are not trusted"
    assert not fresh(settings)
    country.raster("cover.tif", country.classes()[::-1].copy())
    assert fresh(settings), "a layer has changed"
    assert not fresh(settings)
    (country.folder / "cover.tif.aux.xml").write_text("<PAMDataset></PAMDataset>")
    assert fresh(settings), "what lies beside a layer may change it"
    mosaic = replace(settings.layers[0], path="all.vrt")
    (country.folder / "all.vrt").write_text("<VRTDataset/>")
    assert fresh(replace(settings, layers=(mosaic,)))
    assert fresh(replace(settings, layers=(mosaic,))), "a mosaic does not tell when its tiles change"
    monkeypatch.setenv("HUSHWALK_CACHE", "off")
    assert fresh(settings)
    assert fresh(settings)


def test_kept_steps_are_small_in_all_and_a_broken_folder_is_no_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cache_file, "MOST_BYTES_IN_ALL", 3000)
    kept = StepCache(tmp_path / "cache", "key", 0.0)
    for k in range(9):
        assert kept.cached(f"step {k}", lambda: b"x" * 1000) == b"x" * 1000
    assert 1 <= len(list((tmp_path / "cache").iterdir())) <= 3
    monkeypatch.setattr(cache_file, "MOST_BYTES", 10)
    kept.cached("large", lambda: b"x" * 1000)
    assert not list((tmp_path / "cache").glob(".writing-*"))
    (tmp_path / "file").write_text("")
    assert StepCache(tmp_path / "file", "key", 0.0).cached("a", lambda: 7) == 7
    assert StepCache(tmp_path / "cache", "key", 0.0).cached("a", lambda: lambda: 7)() == 7


@pytest.mark.skipif(os.name == "nt", reason="the system's own handler")
def test_control_c_ends_a_long_search_with_plain_words_and_the_old_files(country: Country, tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "map.html").write_text("the map of yesterday")
    words = [sys.executable, "-m", "hushwalk", "plan", str(country.small_trip()), "--think", "600", "--out"]
    with subprocess.Popen([*words, str(out)], stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True) as run:
        assert run.stderr is not None
        for line in run.stderr:
            if "choosing stops" in line:
                break
        time.sleep(0.5)
        run.send_signal(signal.SIGINT)
        assert run.wait(300) == 130, "two seconds on an idle machine; the search itself would take ten minutes"
        said = run.stderr.read()
    assert said.count(STOPPED) == 1
    assert "Traceback" not in said
    assert [path.name for path in out.iterdir()] == ["map.html"]
    assert (out / "map.html").read_text() == "the map of yesterday"
