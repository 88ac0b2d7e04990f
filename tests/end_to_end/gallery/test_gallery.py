"""Two hundred attempts of the gallery of docs/benchmarks, in this process; the whole of it runs from there."""

import sys
from collections import Counter
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

BENCHMARKS = Path(__file__).resolve().parents[3] / "docs" / "benchmarks"
MANY = {
    "trip file: slips": 15,
    "trip file: bytes": 20,
    "notes: typed": 110,
    "notes: tables": 30,
    "notes: waypoints": 25,
}
"""How many of a class are tried here: of those that answer in a tenth of a second."""


@pytest.fixture(scope="module")
def gallery() -> Any:
    sys.path.insert(0, str(BENCHMARKS))
    try:
        return tuple(import_module(f"gallery{name}") for name in ("", "_attempts", "_words"))
    finally:
        sys.path.remove(str(BENCHMARKS))


def test_two_hundred_attempts_get_an_answer(gallery: Any, tmp_path: Path) -> None:
    run, made, words = gallery
    every = [
        attempt for attempt in words.attempts() if "long path" not in attempt.name and "zero in" not in attempt.name
    ]
    assert len(every) >= 1500
    of_kind = {kind: [attempt for attempt in every if attempt.kind == kind] for kind in MANY}
    chosen = [one for kind, many in MANY.items() for one in of_kind[kind][:: max(1, len(of_kind[kind]) // many)][:many]]
    assert len(chosen) == sum(MANY.values()) == 200
    faults: Counter[str] = Counter()
    sound = tmp_path / "sound"
    sound.mkdir()
    made.make_country(sound)
    for number, attempt in enumerate(chosen):
        folder = tmp_path / str(number)
        folder.mkdir()
        for name in ("trip.toml", "heights.tif", "cover.tif", "streams.gpkg"):
            (folder / name).symlink_to(sound / name) if name != "trip.toml" else (folder / name).write_text(made.TRIP)
        answer = run.answer_of(attempt, folder)
        faults.update(f"{attempt.kind}: {attempt.name}: {fault}" for fault in run.faults_of(attempt, answer))
    assert not faults
