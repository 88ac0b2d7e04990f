"""Steps that are kept: a file that is not the very step is never taken for it, and nothing in the folder is a fault."""

import os
import shutil
from pathlib import Path

import pytest

from hushwalk.morning.cache import StepCache


def test_a_step_of_another_kind_or_trip_under_its_name_is_worked_out_anew(tmp_path: Path) -> None:
    here, there = StepCache(tmp_path, "here", 0.0), StepCache(tmp_path, "there", 0.0)
    assert here.cached("stops", lambda: (1, 2)) == (1, 2)
    (stops,) = tmp_path.glob("*.step")
    assert here.cached("way", lambda: "by bouts") == "by bouts"
    (way,) = set(tmp_path.glob("*.step")) - {stops}
    shutil.copy(way, stops)
    assert here.cached("stops", lambda: (1, 2)) == (1, 2), "another step of the trip"
    before = set(tmp_path.glob("*.step"))
    assert there.cached("stops", lambda: (8, 9)) == (8, 9)
    (other,) = set(tmp_path.glob("*.step")) - before
    shutil.copy(other, stops)
    assert here.cached("stops", lambda: (1, 2)) == (1, 2), "the same step of another trip"
    assert here.cached("stops", lambda: pytest.fail("it was kept")) == (1, 2)


@pytest.mark.parametrize("kind", ["folder", "pipe", "loop"])
def test_what_is_no_file_in_the_place_of_a_step_is_passed_over(kind: str, tmp_path: Path) -> None:
    kept = StepCache(tmp_path, "here", 0.0)
    kept.cached("stops", lambda: 7)
    (step,) = tmp_path.glob("*.step")
    step.unlink()
    if kind == "folder":
        (step / "mine").mkdir(parents=True)
    elif kind == "loop":
        step.symlink_to(step)
    elif hasattr(os, "mkfifo"):
        os.mkfifo(step)
    assert kept.cached("stops", lambda: 7) == 7
    assert kept.cached("way", lambda: 8) == 8
    assert not list(tmp_path.glob(".writing-*"))
