"""Makes pages of the site: README and its neighbours, every command's help, all that is public, pictures.

They lie in docs/made/, which is not kept; conf.py calls this before Sphinx reads anything.
"""

import re
import shutil
import tomllib
from importlib import import_module
from pathlib import Path

import click
import pypdfium2

import hushwalk
from hushwalk.cli import COMMANDS

ROOT = Path(__file__).resolve().parents[2]
KEPT = {"readme.md": "README.md", "developers.md": "DEVELOPERS.md", "changes.md": "CHANGES.md"}
PICTURES = ("maps/picture.png", "docs/guide/python_plan.png", "docs/guide/campaign_days.png")
LINK = re.compile(r"\]\(([^)#:\s]+)((?:#[^)]*)?)\)")
SHEET_SCALE = 1.6  # judgement: letters of 7 pt can be read on a screen
KINDS = {
    "Opening": ("open_trip", "write_demo", "orienteering"),
    "An opened trip, and what it answers": (
        *("Trip", "MorningPlan", "PlaceReasons", "PlaceEarshot", "SoundPath", "BirdFixes", "FilmingSessions"),
        *("Layer", "Grid"),
    ),
}


def version() -> str:
    """Version of the program, as pyproject.toml gives it."""
    return str(tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"])


def make(folder: Path) -> None:
    """Make every page, anew."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    for name, kept in KEPT.items():
        (folder / name).write_text(moved((ROOT / kept).read_text(encoding="utf-8")), encoding="utf-8")
    (folder / "commands.md").write_text(commands_page(), encoding="utf-8")
    (folder / "public_names.md").write_text(public_names_page(), encoding="utf-8")
    for picture in PICTURES:
        shutil.copy(ROOT / picture, folder)
    sheet = pypdfium2.PdfDocument(ROOT / "maps" / "sample" / "sheet_a4.pdf")
    for number in (0, 1):
        sheet[number].render(scale=SHEET_SCALE).to_pil().save(folder / f"sheet_{number + 1}.png")


def moved(words: str) -> str:
    """Links of a page of the root, as they are from docs/made/; what the site does not hold becomes plain words."""

    def one(found: re.Match[str]) -> str:
        target, anchor = found[1], found[2]
        neighbours = {kept: name for name, kept in KEPT.items()}
        if target in neighbours:
            return f"]({neighbours[target]}{anchor})"
        if target in PICTURES:
            return f"]({Path(target).name})"
        inside = target.startswith("docs/") and (ROOT / target).is_file()
        return f"](../{target.removeprefix('docs/')}{anchor})" if inside else "]{.gone}"

    return re.sub(r"\[([^\]]*)\]\{\.gone\}", r"\1", LINK.sub(one, words))


def commands_page() -> str:
    """Every command with its help, as the terminal shows it."""
    lines = ["# Every command", "", "`hushwalk COMMAND --help` shows the same.", ""]
    top = click.Context(click.Group("hushwalk"), info_name="hushwalk")
    for name in COMMANDS:
        command = import_module(f"hushwalk.cli.{name}").command
        command.help = (command.help or "").replace("\\b\n", "\b\n")
        with click.Context(command, parent=top, info_name=name, terminal_width=100) as context:
            lines += [f"## {name}", "", "```text", command.get_help(context), "```", ""]
    return "\n".join(lines)


def public_names_page() -> str:
    """All that is public, by kind, each from its docstring."""
    rooms = hushwalk._ROOM_OF  # noqa: SLF001 - the list of the package itself
    errors = [name for name, room in rooms.items() if room == "errors"]
    settings = [name for name, room in rooms.items() if room.startswith("site.")]
    lines = ["# All that is public", "", "A worked tour: [hushwalk in Python](../guide/python.md).", ""]
    for kind, names in {**KINDS, "Settings": settings, "Errors": errors}.items():
        lines += [f"## {kind}", "", "```{eval-rst}"]
        for name in names:
            path = f"hushwalk.{name}"
            if callable(getattr(hushwalk, name)) and not isinstance(getattr(hushwalk, name), type):
                lines += [f".. autofunction:: {path}", ""]
            else:
                members = ["   :members:", "   :undoc-members:"] if kind != "Errors" else ["   :show-inheritance:"]
                lines += [f".. autoclass:: {path}", *members, ""]
        lines += ["```", ""]
    missing = set(rooms) - {*KINDS["Opening"], *KINDS["An opened trip, and what it answers"], *settings, *errors}
    if missing:
        raise ValueError(f"public, but on no page: {sorted(missing)}")
    return "\n".join(lines)
