"""The documented trips on real public layers, planned from the trip file alone: legends, systems and holes differ."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from hushwalk.cli import hushwalk

pytestmark = pytest.mark.real_layers
TRIPS = Path(__file__).resolve().parents[2] / "docs" / "guide" / "real_layers"
TRUST = "tell good ground from poor only so far"


@pytest.mark.parametrize(
    ("name", "males", "words"),
    [
        ("trip.toml", (0.02, 1.5), ("no layer for age of the stand: the ground is judged without it", TRUST)),
        ("lake_outlet.toml", (0.4, 5.0), ("of the ground has no height, and no walk is planned there",)),
        ("lakeshore.toml", (0.3, 5.0), ("where the ground is wet was worked out from the heights", TRUST)),
        ("valley_side.toml", (0.01, 0.6), ("height of the canopy stands in for it", TRUST)),
        ("valley_bottom.toml", (0.02, 1.0), ("of the ground has no height, and no walk is planned there", TRUST)),
    ],
)
def test_a_documented_trip_runs_and_says_what_its_layers_cannot_tell(
    name: str, males: tuple[float, float], words: tuple[str, ...], shared_data: Path, tmp_path: Path
) -> None:
    trip, layers = TRIPS / name, shared_data / "areas"
    said = CliRunner().invoke(
        hushwalk,
        ["plan", str(trip), "--layers", str(layers), "--out", str(tmp_path), "--steps", "300", "--proof", "0"],
    )
    assert said.exit_code == 0, said.output
    report = json.loads((tmp_path / "summary.json").read_text(encoding="utf-8"))
    # judgement: conifers and dry valley sides hold next to nothing, mixed northern woods a few on a whole morning
    assert males[0] < report["males"]["focal"] < males[1]
    assert report["plain_walk"]["stops"] > 0
    assert report["males"]["expected"] >= report["plain_walk"]["males_expected"]
    for word in words:
        assert any(word in notice for notice in report["notices"])
    assert all(stop["males_expected"] > 0 for stop in report["stops"][-1:])


def test_every_documented_trip_is_held_here() -> None:
    held = {"trip.toml", "lake_outlet.toml", "lakeshore.toml", "valley_side.toml", "valley_bottom.toml"}
    assert {path.name for path in TRIPS.glob("*.toml")} == held
