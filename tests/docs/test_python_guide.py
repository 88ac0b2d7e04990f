"""The guide to Python, run from top to bottom on the demo."""

from pathlib import Path

import pytest
from tests.docs.code_blocks import blocks_of, commands_of, run_command, run_python

ROOT = Path(__file__).resolve().parents[2]
GUIDE = ROOT / "docs" / "guide" / "python.md"


def test_the_guide_to_python_says_what_python_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    names: dict[str, object] = {}
    for block in blocks_of(GUIDE):
        if block.language == "python":
            assert run_python(block, names, GUIDE.name) == ""
        else:
            assert [run_command(words) for words in commands_of(block)] == [""]
    assert (tmp_path / "plan.png").stat().st_size > 10_000
    assert (tmp_path / "maps" / "map.html").is_file()
