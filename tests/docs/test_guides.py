"""The documents and the commands: what the guides run works on the demo, and every command they name can be read."""

import re
import shlex
import shutil
from importlib import import_module
from pathlib import Path

import pytest
from tests.docs.code_blocks import blocks_of, commands_of, run_command, run_python

from hushwalk.cli import COMMANDS

ROOT = Path(__file__).resolve().parents[2]
GUIDE = ROOT / "docs" / "guide"
PAGES = sorted([*ROOT.glob("*.md"), *(p for p in (ROOT / "docs").rglob("*.md") if "made" not in p.parts)])
RUN = ("habitat", "why", "earshot", "listener", "season", "session")
COMMAND = re.compile(r"^(?:    |\$ )(?:\.venv/bin/)?(hushwalk [a-z].*)$|`(hushwalk [a-z][^`]*)`", re.MULTILINE)
IN_A_BLOCK = re.compile(r"^(hushwalk [a-z].*)$", re.MULTILINE)
SCHEMA = re.compile(r"hushwalk [a-z]+ \d")  # of a data file, such as "hushwalk summary 2"
OF_A_RECIPE = {"hello"}


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory, demo_folder: Path) -> Path:
    folder = tmp_path_factory.mktemp("guides")
    shutil.copytree(demo_folder, folder / "trip", ignore=shutil.ignore_patterns("__pycache__"))
    trip = folder / "trip" / "trip.toml"
    words = trip.read_text(encoding="utf-8")
    trip.write_text(
        words.replace("reach_m = 2500.0", "reach_m = 1700.0"), encoding="utf-8"
    )  # less than half the ground
    return folder


@pytest.mark.xdist_group("guides")
@pytest.mark.parametrize("name", RUN)
def test_a_guide_runs_from_top_to_bottom(name: str, here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(here)
    commands = [words for block in blocks_of(GUIDE / f"{name}.md") for words in commands_of(block)]
    assert commands
    assert [said for words in commands if (said := run_command(words))] == []


def commands_in(page: Path) -> list[str]:
    words = page.read_text(encoding="utf-8")
    found = [next(filter(None, match)) for match in COMMAND.findall(words)]
    found += [line for block in blocks_of(page) if block.language == "" for line in IN_A_BLOCK.findall(block.text)]
    return [line.split("  #")[0].split(" # ")[0].rstrip(" ;,.") for line in found]


def fault_of(line: str) -> str:
    """What the command line would say of the words of a command, or nothing; nothing is run."""
    words = shlex.split(line)[1:]
    if SCHEMA.fullmatch(line) or words[0] in OF_A_RECIPE:
        return ""
    if words[0] not in COMMANDS:
        return f"{line}: no command of that name"
    command = import_module(f"hushwalk.cli.{words[0]}").command
    known = {name for option in command.params for name in (*option.opts, *option.secondary_opts)} | {"-h", "--help"}
    return "".join(f"{line}: {word}" for word in words if word.startswith("--") and word.split("=")[0] not in known)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_command_of_a_page_and_its_options_exist(page: Path) -> None:
    lines = [line for line in commands_in(page) if line.count('"') % 2 == 0 and line.count("'") % 2 == 0]
    assert [fault for line in lines if (fault := fault_of(line))] == []


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_python_block_is_run_by_a_test(page: Path) -> None:
    """The blocks of the guide to Python run in their own test; those of other pages run here, one after the other."""
    names: dict[str, object] = {}
    blocks = [block for block in blocks_of(page) if block.language == "python"]
    if page.name != "python.md":
        assert [run_python(block, names, page.name) for block in blocks] == [""] * len(blocks)
        assert all(">>>" in block.text for block in blocks)


def test_the_made_pages_name_every_command_and_every_public_name(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(ROOT / "docs" / "site"))
    pages = import_module("pages")
    commands, public = pages.commands_page(), pages.public_names_page()
    assert [name for name in COMMANDS if f"\n## {name}\n" not in commands] == []
    assert "Usage: hushwalk habitat" in commands
    assert "\b" not in commands
    hushwalk = import_module("hushwalk")
    assert [name for name in hushwalk.__all__ if name != "__version__" and f".{name}\n" not in public] == []
    moved = pages.moved("[a](docs/guide/python.md#layers) [b](DEVELOPERS.md) [c](LICENSE) ![d](maps/picture.png)")
    assert moved == "[a](../guide/python.md#layers) [b](developers.md) c ![d](picture.png)"
