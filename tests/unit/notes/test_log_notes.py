from dataclasses import replace
from datetime import UTC, datetime

from hushwalk.notes.log_notes import noted_log, noted_signs
from hushwalk.notes.notes import LogNote

NOTE = LogNote(
    datetime(2027, 4, 25, 16, tzinfo=UTC), (-92.1, 46.8), "LOG01", "fresh pile", "NW", height_m=0.5, slope_deg=3.0,
    worn=True, cover_share=0.8, backdrop_m="NW 15, N 4", hide_m="SE 14", view_share="SE 0.9", access="SE E",
)  # fmt: skip


def test_a_note_gives_a_log_that_faces_away_from_the_droppings() -> None:
    log = noted_log(NOTE, (1.0, 2.0))
    assert log.facing_deg == (135.0,)
    assert (log.backdrop_m, log.room_m, log.view_share) == ({"NW": 15.0, "N": 4.0}, {"SE": 14.0}, {"SE": 0.9})
    assert log.access == ("SE", "E")
    assert (log.xy_m, log.height_m, log.slope_deg) == ((1.0, 2.0), 0.5, 3.0)


def test_what_was_not_noted_stays_open() -> None:
    bare = noted_log(LogNote(NOTE.at, NOTE.place, "LOG02", "few", "both ends"), (1.0, 2.0))
    assert (bare.facing_deg, bare.access, bare.height_m, bare.top_m) == ((), None, None, 0.4)
    assert noted_log(replace(NOTE, access="none"), (1.0, 2.0)).access == ()  # looked for and found none


def test_size_carries_no_weight_for_use() -> None:
    assert noted_signs(replace(NOTE, length_m=1.0, diameter_m=0.1)) == noted_signs(replace(NOTE, length_m=12.0))
