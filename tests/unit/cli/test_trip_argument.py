"""Wherever a trip is asked for, the folder of its trip file is taken too."""

from pathlib import Path

import click
import pytest

from hushwalk.cli import hushwalk

CONTEXT = click.Context(hushwalk)
COMMANDS = [hushwalk.get_command(CONTEXT, name) for name in hushwalk.list_commands(CONTEXT)]
OF_A_TRIP = [one for one in COMMANDS if one and any(p.name == "trip" for p in one.params) and one.name != "note"]


@pytest.mark.parametrize("command", OF_A_TRIP, ids=lambda command: command.name)
def test_a_folder_stands_for_its_trip_file(command: click.Command, tmp_path: Path) -> None:
    (trip,) = (p for p in command.params if p.name == "trip")
    context = click.Context(command)
    assert trip.process_value(context, str(tmp_path)) == tmp_path / "trip.toml"
    assert trip.process_value(context, str(tmp_path / "other.toml")) == tmp_path / "other.toml"


def test_most_commands_are_of_a_trip() -> None:
    assert {"plan", "check", "fix", "search", "session", "season", "habitat"} <= {one.name for one in OF_A_TRIP}
