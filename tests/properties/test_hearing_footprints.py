"""What must hold for any ground, cover, wind and water: a footprint that grows, shrinks and mirrors as it should."""

import itertools
import math
import tomllib
from dataclasses import replace
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.hearing.acoustic_ground import AcousticGround
from hushwalk.hearing.call import Call, call_from_card
from hushwalk.hearing.conditions import Conditions
from hushwalk.hearing.listener import Listener
from hushwalk.hearing.soundscape import FootprintParams, Soundscape
from hushwalk.science.sound_screen import edge_loss_db, find_edges

CARD = tomllib.loads((files("hushwalk") / "data" / "species" / "ruffed_grouse.toml").read_text(encoding="utf-8"))
CALL = call_from_card(CARD)
GRID = Grid(32615, 500_000.0, 5_200_000.0, 20.0, 41, 41)
STOP_M = tuple(GRID.xy([20], [20])[0])
ALL = FootprintParams(reach_m=400.0, chance_floor=0.0, threads=1)

seeds = st.integers(0, 2**32 - 1)
quick = settings(max_examples=15, deadline=None)


def layer(name: str, values: np.ndarray) -> Layer:
    return Layer(name, "1", GRID, values)


def hills(seed: int, height_m: float = 15.0) -> Layer:
    """Smooth, rough or flat ground, by the seed."""
    rng = np.random.default_rng(seed)
    rows, cols = np.indices(GRID.shape)
    waves = sum(
        np.sin(rows / rng.uniform(1, 12) + rng.uniform(0, 6)) * np.cos(cols / rng.uniform(1, 12)) for _ in range(3)
    )
    return layer("elevation", height_m * rng.uniform(0, 1) * waves + rng.uniform(0, 0.5) * rng.normal(size=GRID.shape))


def cover(seed: int) -> np.ndarray:
    return np.random.default_rng(seed + 1).choice([0.0, 0.25, 0.5, 1.0], GRID.shape)


def heard(
    elevation: Layer,
    foliage: np.ndarray | None = None,
    *,
    call: Call = CALL,
    wind_ms: float = 0.5,
    water_dba: float = math.nan,
    listener: Listener | None = None,
) -> np.ndarray:
    leaves = None if foliage is None else layer("foliage", foliage)
    water = layer("water noise", np.full(GRID.shape, water_dba))
    air = Conditions(wind_at_ear_ms=wind_ms)
    soundscape = Soundscape(AcousticGround(elevation, leaves, water), air, call, listener or Listener(), ALL)
    return soundscape.footprint(STOP_M).values


@quick
@given(seed=seeds, louder_db=st.floats(0, 30))
def test_louder_never_shrinks_a_footprint(seed: int, louder_db: float) -> None:
    loud = replace(CALL, level_at_1m_db=tuple(level + louder_db for level in CALL.level_at_1m_db))
    soft = heard(hills(seed), cover(seed))
    assert np.all(heard(hills(seed), cover(seed), call=loud) >= soft)
    assert np.all(heard(hills(seed), cover(seed), listener=Listener(louder_db)) >= soft)


@quick
@given(seed=seeds, more=st.floats(0, 1), share=st.floats(0, 1))
def test_more_foliage_never_grows_it(seed: int, more: float, share: float) -> None:
    thin = cover(seed)
    grown = np.random.default_rng(seed + 2).random(GRID.shape) < share
    thick = np.where(grown, np.maximum(thin, more), thin)
    assert np.all(heard(hills(seed), thick) <= heard(hills(seed), thin))


@quick
@given(seed=seeds, winds=st.tuples(st.floats(0, 12), st.floats(0, 12)))
def test_more_wind_never_grows_it(seed: int, winds: tuple[float, float]) -> None:
    still, windy = sorted(winds)
    assert np.all(heard(hills(seed), wind_ms=windy) <= heard(hills(seed), wind_ms=still))


@quick
@given(seed=seeds, waters=st.tuples(st.floats(20, 90), st.floats(20, 90)))
def test_more_water_never_grows_it(seed: int, waters: tuple[float, float]) -> None:
    soft, loud = sorted(waters)
    low, high = heard(hills(seed), water_dba=loud), heard(hills(seed), water_dba=soft)
    assert np.all(low <= high)
    assert np.all(high <= heard(hills(seed)))


@quick
@given(seed=seeds, walls=st.tuples(st.floats(0, 80), st.floats(0, 80)))
def test_a_higher_wall_never_grows_it(seed: int, walls: tuple[float, float]) -> None:
    low, high = sorted(walls)
    line = np.random.default_rng(seed).integers(22, 38)
    ground = np.zeros((2, *GRID.shape))
    ground[0][:, line], ground[1][:, line] = low, high
    soft, loud = heard(layer("elevation", ground[1])), heard(layer("elevation", ground[0]))
    # a bird on the wall itself or on its foot hears better from higher up, so only those behind it are compared
    assert np.all(soft[:, line + 2 :] <= loud[:, line + 2 :] + 1e-12)


@quick
@given(seed=seeds)
def test_symmetric_ground_gives_a_symmetric_footprint(seed: int) -> None:
    ground = hills(seed).values
    ground = ground + ground[:, ::-1]
    chance = heard(layer("elevation", ground + ground[::-1]))
    assert chance == pytest.approx(chance[:, ::-1], abs=1e-9)
    assert chance == pytest.approx(chance[::-1], abs=1e-9)


@quick
@given(seed=seeds, quarter=st.integers(1, 3))
def test_turned_ground_turns_the_footprint(seed: int, quarter: int) -> None:
    turned = layer("elevation", np.rot90(hills(seed).values, quarter))
    assert heard(turned) == pytest.approx(np.rot90(heard(hills(seed)), quarter), abs=1e-9)


@quick
@given(level=st.floats(-500, 4000), slopes=st.tuples(st.floats(-0.5, 0.5), st.floats(-0.5, 0.5)))
def test_level_and_evenly_sloping_open_ground_gives_circles(level: float, slopes: tuple[float, float]) -> None:
    rows, cols = np.indices(GRID.shape)
    plane = level + 20 * (slopes[0] * rows + slopes[1] * cols)
    chance = heard(layer("elevation", plane))
    away = np.round(np.hypot(rows - 20, cols - 20) * 20, 6)
    for ring in np.unique(away[away <= 400]):
        assert np.ptp(chance[away == ring]) < 1e-6


@quick
@given(level_db=st.floats(75, 105), wind_ms=st.floats(0, 6))
def test_a_circle_is_the_closed_form(level_db: float, wind_ms: float) -> None:
    """One band at 63 Hz written out again: ISO 9613-2 equations 7 and 9, ISO 226, ERB and the wind of Boersma 1997."""
    call = replace(CALL, bands_hz=(63.0,), level_at_1m_db=(level_db,))
    chance = heard(layer("elevation", np.zeros(GRID.shape)), call=call, wind_ms=wind_ms)
    wind = 37.9 * math.log10(wind_ms) + 38.2 - 20 * math.log10(10) if wind_ms > 0 else -200
    erb = 24.7 * (4.37 * 0.063 + 1) / (63 * (2 ** (1 / 6) - 2 ** (-1 / 6)))
    masked = 10 * math.log10((10**2.5 + 10 ** (wind / 10)) * erb) + 3
    needed = 10 * math.log10(10**3.75 + 10 ** (masked / 10))
    for col in range(22, 41):
        far = 20.0 * (col - 20)
        soil = -3 - 3 * max(0.0, 1 - 63 / far)
        # at 2 degrees and 80 % the air takes 0.13 dB in a kilometre
        margin = level_db - 20 * math.log10(far) - soil - 0.000135 * far - needed
        assert chance[20, col] == pytest.approx(0.5 * math.erfc(-margin / 6 / math.sqrt(2)), abs=2e-3)


@quick
@example(seed=196341)  # a piece of its path ends on the edge of a cell
@given(seed=seeds)
def test_bird_and_ear_at_equal_heights_may_change_places(seed: int) -> None:
    rng = np.random.default_rng(seed)
    call = replace(CALL, height_m=1.6)
    a, b = (tuple(GRID.xy([rng.integers(0, 41)], [side])[0]) for side in (rng.integers(0, 18), rng.integers(22, 41)))
    ground, leaves = hills(seed, 40.0), layer("foliage", cover(seed))
    soundscape = Soundscape(AcousticGround(ground, leaves), Conditions(), call, Listener())
    there, back = soundscape.path(a, b), soundscape.path(b, a)
    for term, same in zip(there.losses, back.losses, strict=True):
        assert term.loss_db == pytest.approx(same.loss_db, abs=1e-9), term.name


def plain_screen(place: list[float], height: list[float], ear_m: float, bird_m: float) -> tuple[float, ...]:
    """The rubber band drawn by walking from each point to the one under the steepest sight, all in plain Python."""
    tops = [height[0] + ear_m, *height[1:-1], height[-1] + bird_m]
    chain = [0]
    while chain[-1] < len(place) - 1:
        at = chain[-1]
        chain.append(max(range(at + 1, len(place)), key=lambda i: ((tops[i] - tops[at]) / (place[i] - place[at]), i)))

    def legs(stops: list[int]) -> float:
        return sum(math.dist((place[i], tops[i]), (place[j], tops[j])) for i, j in itertools.pairwise(stops))

    inner, last = chain[1:-1], len(place) - 1
    top = max(inner, key=lambda i: legs([0, i, last]))

    def over_chord(i: int) -> float:
        left, right = (0, top) if i < top else (top, last)
        share = (place[i] - place[left]) / (place[right] - place[left])
        return tops[i] - tops[left] - share * (tops[right] - tops[left])

    other = max((i for i in inner if i != top), key=over_chord, default=top)
    first, second = sorted([top, other])
    cut = [chain.index(first), chain.index(second)]
    parts = legs(chain[: cut[0] + 1]), legs(chain[cut[0] : cut[1] + 1]), legs(chain[cut[1] :])
    share = min(over_chord(other) / 2.0, 1.0) if other != top else 0.0
    return sum(parts) - legs([0, last]), parts[0], parts[2], legs([0, last]), parts[1], share


@settings(max_examples=60, deadline=None)
@given(seed=seeds, n=st.integers(3, 60))
def test_the_rubber_band_agrees_with_a_plain_one(seed: int, n: int) -> None:
    rng = np.random.default_rng(seed)
    place, height = np.arange(n) * 10.0, np.cumsum(rng.normal(0, 4, n))
    height[n // 2] += 30 + abs(height).max()  # so that the sight is cut
    edges = np.zeros(7)
    find_edges(place, height, n, 1.6, 0.5, np.empty(n), np.empty(n, dtype=np.int64), edges)
    expected = plain_screen(place.tolist(), height.tolist(), 1.6, 0.5)
    assert edges[0] == 1
    # two edges of all but equal standing may be taken in either order; the loss is the same
    ours, plain = (edge_loss_db(*parts, 5.4) for parts in (edges[1:], expected))
    assert edges[1] == pytest.approx(expected[0], abs=1e-6)
    assert ours == pytest.approx(plain, abs=1e-6)
