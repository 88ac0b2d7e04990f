"""What the field notes change in a plan, in sentences.

The facts are morning/notes_effect.py's; which birds and logs there are, season_words.py says.
"""

from hushwalk.morning.notes_effect import DensityUpdate, MaleLeft, NotesEffect
from hushwalk.text import counted
from hushwalk.wording.formats import percent
from hushwalk.wording.measures import distance, small_area

NAMED_MOST = 12  # judgement: a list that a tired person still reads


def notes_effect_sentences(effect: NotesEffect | None) -> tuple[str, ...]:
    """Say what the notes change; nothing where there are none."""
    if effect is None:
        return ()
    mornings = f"{counted(len(effect.days), 'morning')} with {counted(effect.stops, 'stop')} on this ground"
    known = f"{counted(len(effect.males), 'male')} known" if effect.males else "no male known"
    return (
        f"The field notes count: {mornings}, {known}. --notes none plans without them.",
        *(_density(effect.density) if effect.density else ()),
        *_males(effect.males),
        *_kept_off(effect),
        *(
            f"On the trail from {one.start} to {one.end} {one.log} lies {distance(one.distance_m)} off: walk on, "
            "quietly."
            for one in effect.passed
        ),
        *(
            ("The notes hold the very morning that is planned; morning.date or --day says which one comes next.",)
            if effect.this_morning
            else ()
        ),
    )


def _density(update: DensityUpdate) -> tuple[str, ...]:
    heard = f"{counted(update.heard, 'male')} heard so far where the model expected {update.expected:.1f}"
    factor = f"{update.factor:.2f} times the males of the model ({update.low:.2f} to {update.high:.2f})"
    before, left = f"{update.males_before:.1f} by the model alone", f"{update.males_unheard:.1f} not heard yet"
    return (
        f"{heard[:1].upper()}{heard[1:]}: planned with {factor}.",
        f"Males on this ground: {before}; now {left}, fewest where you stood longest.",
    )


def _males(males: tuple[MaleLeft, ...]) -> tuple[str, ...]:
    if not males:
        return ()
    named = ", ".join(_male(one) for one in males[:NAMED_MOST])
    more = f" and {len(males) - NAMED_MOST} more" if len(males) > NAMED_MOST else ""
    return (
        f"Males expected are those not heard yet, and of known ones the part that is left to learn: {named}{more}.",
    )


def _male(one: MaleLeft) -> str:
    logs = f", {' and '.join(one.male.logs)}" if one.male.logs else ""
    return f"male {one.male.number} {percent(one.left)} ({small_area(one.male.area_ha)}{logs})"


def _kept_off(effect: NotesEffect) -> tuple[str, ...]:
    if effect.no_stop_ha <= 0:
        return ()
    logs = f"{', '.join(effect.logs)} and the probable places" if effect.logs else "the probable places"
    keep = f"Stops, legs off trails and ways in keep {distance(effect.stand_off_m)} off {logs} of known males"
    return (
        f"{keep}: no stop on {small_area(effect.no_stop_ha)}, no leg off trails on {small_area(effect.no_leg_ha)}.",
    )
