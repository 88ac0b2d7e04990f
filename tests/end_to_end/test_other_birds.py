"""`hushwalk plan` with every species card on a part of the demo ground: nothing in the code knows one bird."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from hushwalk.cli import hushwalk
from hushwalk.errors import SettingsError
from hushwalk.site.species import read_card
from hushwalk.site.species_file import card_names

FORBIDDEN = """\
species = "{key}"
[place]
name = "Hollow Alder"
car = "{car}"
[morning]
date = 2027-04-25
back_by = 09:30:00
[[layer]]
kind = "elevation"
path = "elevation.tif"
"""


@pytest.mark.parametrize(
    ("command", "key", "car", "law"),
    [
        (
            "check",
            "black_grouse",
            "50.5000, 10.0000",
            "Germany: the Federal Hunting Act (Bundesjagdgesetz)",
        ),
        (
            "plan",
            "hazel_grouse",
            "48.9500, 13.3000",
            "Germany: the Federal Hunting Act (Bundesjagdgesetz)",
        ),
        ("plan", "black_grouse", "53.5000, 22.6000", "Poland: the Nature Conservation Act of 2004"),
    ],
)
def test_a_walk_that_the_law_forbids_is_refused(command: str, key: str, car: str, law: str, tmp_path: Path) -> None:
    trip = tmp_path / "trip.toml"
    trip.write_text(FORBIDDEN.format(key=key, car=car), encoding="utf-8")
    said = CliRunner().invoke(hushwalk, [command, str(trip)])
    assert said.exit_code != 0, said.output
    assert isinstance(said.exception, SystemExit if command == "check" else SettingsError)
    assert f"the ground lies in {law}" in " ".join(f"{said.output} {said.exception}".split())
    assert [path.name for path in tmp_path.iterdir()] == ["trip.toml"]


@pytest.mark.parametrize("key", card_names())
def test_a_walk_is_planned_for_every_bird(key: str, demo_folder: Path, tmp_path: Path) -> None:
    card = read_card(key)
    text = (demo_folder / "trip.toml").read_text(encoding="utf-8")
    for old, new in (
        ('species = "ruffed_grouse"', f'species = "{key}"'),
        ('region = "lake_states"', f'region = "{next(iter(card.file.region))}"'),
        ("reach_m = 2500.0", "reach_m = 900.0"),
    ):
        assert old in text
        text = text.replace(old, new)
    trip = tmp_path / "trip.toml"
    trip.write_text(text, encoding="utf-8")
    said = CliRunner().invoke(
        hushwalk, ["plan", str(trip), "--layers", str(demo_folder), "--steps", "300", "--proof", "0"]
    )
    assert said.exit_code == 0, said.output
    out = tmp_path / "out" / "2027-04-24"
    report = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    assert report["species"] == card.name
    heard = [stop["males_expected"] for stop in report["stops"]]
    assert heard
    assert heard[-1] > 0  # the walk ends where nothing more is heard
    assert (out / "map.html").stat().st_size > 10_000
    off_m = max(card.stand_off_m, 80.0)
    sheet = " ".join(page.extract_text() for page in PdfReader(out / "sheet_a4.pdf").pages)
    assert f"Keep {off_m:.0f} m off" in " ".join(sheet.split())
    if off_m > 80.0:  # naturescot_leks: 500 m from a lek; nobody is sent nearer
        assert report["closing_in"]["way"] == "listen and cross"
