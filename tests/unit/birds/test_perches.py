from dataclasses import replace
from datetime import UTC, datetime

import pytest

from hushwalk.birds.perches import group_logs, judge_log, use_of
from hushwalk.errors import InputError
from hushwalk.logs.sectors import opposite, sector_list, sector_values
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notes import LogNote, SessionNote

AT = datetime(2027, 4, 25, 16, tzinfo=UTC)
GOOD = LogNote(
    AT, (-92.1, 46.8), "LOG01", "fresh pile", "NW", height_m=0.5, slope_deg=3.0, worn=True, litter_blown=True,
    cover_share=0.8, floor_open_m=14.0, backdrop_m="NW 15, N 4, W 1", hide_m="SE 14, S 12", view_share="SE 0.9, S 0.5",
    access="SE E",
)  # fmt: skip


def kept(log, uid="a"):
    return LedgerRow(uid, log, AT, "typed")


def judged(uid="a", **change):
    return judge_log(kept(replace(GOOD, **change), uid), 32615)


def test_a_used_log_with_room_all_round_is_a_good_set():
    perch = judged()
    assert perch.use > 0.9
    assert perch.film > 0.8
    assert perch.best.sector == "SE"  # droppings NW: he faces SE, and the backdrop in the NW is far
    assert "he faces the camera" in perch.reasons
    assert "backdrop 15 m off in the NW" in perch.reasons
    assert len(perch.views) == 8
    assert [v.score for v in perch.views] == sorted((v.score for v in perch.views), reverse=True)


@pytest.mark.parametrize(
    "change",
    [
        {"droppings": "none"}, {"droppings": "few"}, {"droppings": "old pile"}, {"worn": False},
        {"litter_blown": False},
        {"cover_share": 0.1}, {"floor_open_m": 2.0}, {"backdrop_m": "NW 2, N 2, W 2"}, {"hide_m": "SE 3, S 3"},
        {"view_share": "SE 0.1, S 0.1"}, {"access": "none"}, {"height_m": 0.1}, {"slope_deg": 30.0},
        {"dropping_side": "SE"},
    ],
)  # fmt: skip
def test_each_thing_noted_counts(change):
    assert judged(**change).score < judged().score


def test_size_carries_no_weight_for_use():
    assert (
        use_of(replace(GOOD, length_m=1.0, diameter_m=0.1))[0]
        == use_of(replace(GOOD, length_m=12.0, diameter_m=0.9))[0]
    )


def test_what_nobody_noted_is_neither_good_nor_bad():
    bare = judge_log(kept(LogNote(AT, (-92.1, 46.8), "LOG02", "fresh pile")), 32615)
    assert 0.4 < bare.film < 0.6
    assert bare.use < judged().use
    with pytest.raises(InputError, match="a log is needed"):
        judge_log(LedgerRow("s", SessionNote(AT, "x"), AT, "typed"), 32615)


def test_logs_of_one_male_are_grouped_round_the_main_one():
    # One degree of latitude is 111 km: 0.0006 degrees are 67 m, 0.002 degrees 222 m.
    main = judged("a")
    lesser = judged("b", place=(-92.1, 46.8006), name="LOG02", droppings="old pile", backdrop_m="NW 30", slope_deg=0.0)
    far = judged("c", place=(-92.1, 46.802), name="LOG03", droppings="few")
    groups = group_logs([far, lesser, main])
    assert [(g.main.uid, [p.uid for p in g.lesser]) for g in groups] == [("a", ["b"]), ("c", [])]
    assert len(group_logs([far, lesser, main], apart=[("a", "b")])) == 3
    assert len(group_logs([far, lesser, main], merge_m=300.0)) == 1


def test_the_better_set_among_the_lesser_logs_is_told():
    main = judged("a", backdrop_m="NW 1", view_share="SE 0.1, S 0.1", slope_deg=20.0)
    lesser = judged("b", place=(-92.1, 46.8006), name="LOG02", worn=False)
    (group,) = group_logs([main, lesser])
    assert (group.main.uid, group.better.uid) == ("a", "b")
    (alone,) = group_logs([judged("a")])
    assert alone.better is None


def test_sectors():
    assert opposite("N") == "S"
    assert sector_values("n 3; SW: 4.5", "x", 0, 10) == {"N": 3.0, "SW": 4.5}
    assert sector_list("none", "access") == ()
    for text in ("N 3, N 4", "Q 3", "N", "N 300", "N 1.2.3"):
        with pytest.raises(InputError, match="cannot be used"):
            sector_values(text, "x", 0, 10)
    with pytest.raises(InputError, match="no compass sector"):
        sector_list("up", "access")
