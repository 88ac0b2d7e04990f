"""Every command of the guide to field notes, run in its order on the demo."""

import re
import shlex
import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from hushwalk.cli import main
from hushwalk.notes import typed_notes as noting
from hushwalk.notes.reading.typed_line import sort_words

ROOT = Path(__file__).resolve().parents[2]
GUIDE = ROOT / "docs" / "guide" / "field_notes.md"
GPX = """<gpx version="1.1" creator="receiver" xmlns="http://www.topografix.com/GPX/1/1">
<wpt lat="47.3761" lon="-90.3489"><time>2027-04-24T10:12:00Z</time><name>P03 B4 099M</name></wpt>
<wpt lat="47.3761" lon="-90.3489"><time>2027-04-24T10:13:00Z</time><name>LOG-5_FRESH</name></wpt></gpx>"""


def commands() -> list[str]:
    blocks = re.findall(r"^```\n(.*?)^```", GUIDE.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)
    return [line for block in blocks for line in block.splitlines()]


def test_the_guide_does_what_it_says(
    tmp_path: Path, demo_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(demo_folder, tmp_path, dirs_exist_ok=True)
    (tmp_path / "out").mkdir()
    shutil.copy(ROOT / "maps" / "sample" / "summary.json", tmp_path / "out")
    (tmp_path / "tracks.gpx").write_text(GPX, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(noting, "_now", lambda now: now or datetime(2027, 4, 24, 14, tzinfo=UTC))
    said, key = "", ""
    for line in commands():
        program, *words = shlex.split(line)
        assert program == "hushwalk"
        words = [key if word == "3f2a" else word for word in words]
        if words[0] == "listener":
            with pytest.raises(SystemExit) as end:
                main([*words, "--notes", str(tmp_path / "none.gpkg")])
            assert end.value.code == 2
            continue
        main(words)
        out = capsys.readouterr().out
        said += out
        found = re.search(r"(?:noted|into) (\w{4,}) .*085M|mended \w+ into (\w+)", out)
        key = next((k for k in found.groups() if k), key) if found else key
    assert "compass read 085, true 082 (declination 2.7 W)" in said
    assert "struck out" in said
    assert "[mended by" in said
    assert "2 new, 0 mended by their lines" in said
    assert len(commands()) == 16


def test_the_names_in_the_guide_are_clear() -> None:
    (row,) = [line for line in GUIDE.read_text(encoding="utf-8").splitlines() if line.startswith("| `name=value`")]
    names = re.findall(r"(\w+)= ", row.replace("=`", "= "))
    assert len(names) == 14
    said = {sort_words([f"{name}=1"], "visit" if name in {"wind", "sky"} else "log").popitem()[0] for name in names}
    assert len(said) == 14
