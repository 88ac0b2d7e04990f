"""What the notes change, in words: only what there is."""

from datetime import date

from hushwalk.morning.notes_effect import DensityUpdate, LogPassed, NotesEffect
from hushwalk.wording.notes_effect_words import notes_effect_sentences


def test_without_notes_nothing_is_said() -> None:
    assert notes_effect_sentences(None) == ()


def test_a_quiet_morning_and_a_log_by_the_trail() -> None:
    effect = NotesEffect(
        days=(date(2027, 4, 23),),
        stops=4,
        males=(),
        density=DensityUpdate(1.6, 0, 0.8, 0.2, 1.7, 30.0, 22.0),
        stand_off_m=80.0,
        logs=("LOG2",),
        no_stop_ha=2.1,
        no_leg_ha=2.1,
        this_morning=True,
        passed=(LogPassed("LOG2", "P03", "P04", 35.4),),
    )
    said = " ".join(notes_effect_sentences(effect))
    assert "1 morning with 4 stops on this ground, no male known" in said
    assert "0 males heard so far where the model expected 1.6: planned with 0.80 times" in said
    assert "keep 80 m off LOG2 and the probable places of known males: no stop on 2.1 ha" in said
    assert "from P03 to P04 LOG2 lies 35 m off" in said
    assert "morning.date" in said
    assert "left to learn" not in said
