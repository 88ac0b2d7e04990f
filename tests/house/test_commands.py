"""Every command has a help text with an example, and opens quickly because it imports nothing heavy."""

import subprocess
import sys

import pytest
from click.testing import CliRunner

from hushwalk.cli import COMMANDS, hushwalk


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_has_help_with_an_example(name: str) -> None:
    said = CliRunner().invoke(hushwalk, [name, "--help"])
    assert said.exit_code == 0, said.output
    assert "Example" in said.output
    assert f"\n    hushwalk {name}" in said.output, "every example stands on a line of its own"
    assert "\\b" not in said.output


def test_asking_for_help_imports_no_array_or_map_library() -> None:
    code = (
        "import sys, contextlib\n"
        "from hushwalk.cli import hushwalk, COMMANDS\n"
        "from click.testing import CliRunner\n"
        "for name in COMMANDS: CliRunner().invoke(hushwalk, [name, '--help'])\n"
        "print([m for m in ('numpy', 'rasterio', 'geopandas', 'pandas', 'folium') if m in sys.modules])\n"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == "[]"


def test_a_fault_is_one_line_and_exit_code_two() -> None:
    said = subprocess.run(
        [sys.executable, "-m", "hushwalk", "plan", "no_such_trip.toml"], capture_output=True, text=True, check=False
    )
    assert said.returncode == 2
    assert "no_such_trip.toml" in said.stderr
    assert "Traceback" not in said.stderr
