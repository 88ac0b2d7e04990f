"""The numbers that docs/science/sound.md prints are those of the code."""

from pathlib import Path

import numpy as np
import pytest

from hushwalk.grid.layer import Layer
from hushwalk.hearing.acoustic_ground import AcousticGround
from hushwalk.hearing.call import Call
from hushwalk.hearing.conditions import CALM, Conditions
from hushwalk.hearing.level_soundscape import LEAFLESS, LevelSoundscape
from hushwalk.hearing.listener import Listener
from hushwalk.hearing.soundscape import Soundscape

PAGE = Path(__file__).parents[3] / "docs" / "science" / "sound.md"


def table_after(text: str) -> list[list[str]]:
    """Cells of the first table after a text of the page, without the line of dashes."""
    lines = PAGE.read_text(encoding="utf-8").split(text, 1)[1].splitlines()
    first = next(k for k, line in enumerate(lines) if line.startswith("|"))
    last = next(k for k in range(first, len(lines)) if not lines[k].startswith("|"))
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[first:last]]
    return [row for row in rows if not set("".join(row)) <= {"-"}]


def test_the_budget_of_300_m(flat: Layer, call: Call) -> None:
    leaves = flat.with_values(np.full(flat.grid.shape, LEAFLESS), name="foliage", unit="1")
    ear_m = (500_005.0, 5_199_695.0)
    budget = Soundscape(AcousticGround(flat, leaves), CALM, call, Listener()).path((ear_m[0] + 300, ear_m[1]), ear_m)
    by_name = {
        "level at 1 m": budget.level_at_1m_db,
        **{term.name: tuple(-x for x in term.loss_db) for term in budget.losses},
        "level at the ear": budget.received_db,
        "needed": budget.needed_db,
        "margin": budget.margins_db,
    }
    head, *rows = table_after("The drum of the ruffed grouse over 300 m")
    assert [float(cell.removesuffix(" Hz")) for cell in head[1:]] == list(budget.bands_hz)
    assert len(rows) == 8
    for name, *printed in rows:
        assert [float(cell) for cell in printed] == pytest.approx(by_name[name], abs=0.051), name


def test_the_distances_heard_half_of_the_time(call: Call) -> None:
    def half_m(air: Conditions = CALM, foliage: float = LEAFLESS, stream_dba: float = np.nan) -> float:
        return LevelSoundscape(air, call, Listener()).earshot_m(foliage, stream_dba)

    expected = {
        "open": half_m(foliage=0.0),
        "leafless hardwood": half_m(),
        "dense conifers": half_m(foliage=1.0),
        "wind 2 m/s": half_m(Conditions(wind_at_ear_ms=2.0)),
        "wind 3 m/s": half_m(Conditions(wind_at_ear_ms=3.0)),
        "creek 10 m away": half_m(stream_dba=55.0),
        "old deep snow": half_m(Conditions(wind_at_ear_ms=0.0, snow="old")),
    }
    head, row = table_after("Other 50 % distances of the focal listener")
    printed = {name: float(cell.removesuffix(" m")) for name, cell in zip(head, row, strict=True)}
    assert printed == pytest.approx(expected, abs=0.51)
