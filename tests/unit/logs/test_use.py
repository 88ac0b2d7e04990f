from collections.abc import Callable
from dataclasses import replace

import pytest

from hushwalk.logs.log import HideGround, Log
from hushwalk.logs.observations import Observed
from hushwalk.logs.use import LogScore, LogSigns, group_logs, score_log, use_of

MIDDLE = (597_700.0, 5_272_900.0)
USED = LogSigns("fresh pile", worn=True, litter_blown=True, cover_share=0.8, floor_open_m=14.0)
GOOD = Log(
    MIDDLE, height_m=0.5, slope_deg=3.0, facing_deg=(135.0,), backdrop_m={"NW": 15.0, "N": 4.0, "W": 1.0},
    room_m={"SE": 14.0, "S": 12.0}, view_share={"SE": 0.9, "S": 0.5}, access=("SE", "E"),
)  # fmt: skip

Scored = Callable[..., LogScore]


@pytest.fixture
def scored(level: HideGround) -> Scored:
    def made(uid: str = "a", name: str = "LOG01", signs: LogSigns = USED, north_m: float = 0.0, **change) -> LogScore:
        log = replace(GOOD, xy_m=(MIDDLE[0], MIDDLE[1] + north_m), **change)
        return score_log((uid, name), log, signs, level)

    return made


def test_a_used_log_with_room_all_round_is_a_good_set(scored: Scored) -> None:
    log = scored()
    assert log.use > 0.9
    assert log.film > 0.8
    assert log.best.name == "SE"  # he faces SE, and the backdrop in the NW is far
    facts = {fact.what: fact.value for fact in log.observed}
    assert Observed.FACES_CAMERA in facts
    assert facts[Observed.BACKDROP] == 15
    assert facts[Observed.FILM_FROM] == 135
    assert len(log.sides) == 8


@pytest.mark.parametrize(
    "change",
    [
        {"droppings": "none"}, {"droppings": "few"}, {"droppings": "old pile"}, {"worn": False},
        {"litter_blown": False}, {"cover_share": 0.1}, {"floor_open_m": 2.0},
    ],
)  # fmt: skip
def test_each_sign_counts(scored: Scored, change: dict[str, object]) -> None:
    assert scored(signs=replace(USED, **change)).score < scored().score


@pytest.mark.parametrize(
    "change",
    [
        {"backdrop_m": {"NW": 2.0, "N": 2.0, "W": 2.0}}, {"room_m": {"SE": 3.0, "S": 3.0}},
        {"view_share": {"SE": 0.1, "S": 0.1}}, {"access": ()}, {"height_m": 0.1}, {"slope_deg": 30.0},
        {"facing_deg": (315.0,)},
    ],
)  # fmt: skip
def test_each_thing_noted_counts(scored: Scored, change: dict[str, object]) -> None:
    assert scored(**change).score < scored().score


def test_a_log_whose_sides_lie_in_water_is_a_worse_film_set(scored: Scored, level: HideGround) -> None:
    dry = scored()
    level.blocked[:] = True
    # The footing falls from 1 to 0.02, one of 7.5 weights of the side, and no hide can stand there: 0.4 once more. The
    # side is half of the film set.
    assert scored().film == pytest.approx(dry.film * (0.02 ** (1 / 7.5) * 0.4) ** (1 / 2))
    assert scored().use == dry.use


def test_what_nobody_noted_is_neither_good_nor_bad(level: HideGround) -> None:
    bare = score_log(("b", "LOG02"), Log(MIDDLE), LogSigns("fresh pile"), level)
    assert 0.4 < bare.film < 0.6
    assert bare.use == pytest.approx(4 / 5)  # the odds of a fresh pile, four to one, and nothing else
    assert use_of(USED) > bare.use


def test_logs_of_one_male_are_grouped_round_the_main_one(scored: Scored) -> None:
    main = scored("a")
    old = replace(USED, droppings="old pile")
    lesser = scored("b", "LOG02", old, 67.0, backdrop_m={"NW": 30.0}, slope_deg=0.0)
    far = scored("c", "LOG03", replace(USED, droppings="few"), 195.0)
    groups = group_logs([far, lesser, main])
    assert [(g.main.uid, [p.uid for p in g.lesser]) for g in groups] == [("a", ["b"]), ("c", [])]
    assert len(group_logs([far, lesser, main], apart=[("a", "b")])) == 3
    assert len(group_logs([far, lesser, main], merge_m=300.0)) == 1


def test_the_better_set_among_the_lesser_logs_is_named(scored: Scored) -> None:
    main = scored("a", backdrop_m={"NW": 1.0}, view_share={"SE": 0.1, "S": 0.1}, slope_deg=20.0)
    lesser = scored("b", "LOG02", replace(USED, worn=False), 67.0)
    (group,) = group_logs([main, lesser])
    assert group.better is not None
    assert (group.main.uid, group.better.uid) == ("a", "b")
    (alone,) = group_logs([scored("a")])
    assert alone.better is None
