"""The cautions that sheets carry, one sentence each.

Which apply is site/cautions.py's business.
"""

from collections.abc import Sequence

from hushwalk.site.cautions import Caution, SiteCaution
from hushwalk.wording.measures import distance, temperature

SENTENCES = {
    Caution.LEAVE_WORD: (
        "Tell someone where the car stands, the way you go and when you will be back. There may be no signal."
    ),
    Caution.DARK_WALK: (
        "You walk in the dark. Carry two lamps, a compass and this sheet on paper; turn back at the times given."
    ),
    Caution.OLD_MAP: (
        "The map may be wrong or old: water, cliffs, fences, felled timber. What you see goes before what is printed."
    ),
    Caution.CLOSED_LAND: (
        "Land may be private or closed. Only local law and the owner decide; ask, and keep out of hatched ground."
    ),
    Caution.HUNTING: (
        "Spring hunting seasons run at dawn in many places. Learn the dates, wear blaze orange while walking, "
        "and never red, white, blue or black near your face."
    ),
    Caution.STAND_OFF: (
        "A displaying male leaves his log when walked up to. Keep {far} off; if he falls silent, back away."
    ),
    Caution.NO_PLAYBACK: "No playback, no decoys, no cutting of stems, no drones. Keep off nests; dogs stay at home.",
    Caution.KEEP_QUIET: "Keep the places of logs to yourself: shared, they are soon trampled or shot over.",
    Caution.ICE: (
        "Ice on ponds and streams is not to be trusted in spring. The route never crosses open water; nor should you."
    ),
    Caution.OFF_TRAIL_IN_THE_DARK: (
        "Off-trail walking before civil dawn is allowed in this plan. Go slowly, and protect your eyes from twigs."
    ),
    Caution.DARK_EVENING: (
        "It grows dark before you are back, or soon after. Carry two lamps, a compass and this sheet on paper; turn "
        "back at the times given."
    ),
    Caution.OFF_TRAIL_AFTER_DUSK: (
        "Off-trail walking after civil dusk is allowed in this plan. Go slowly, and protect your eyes from twigs."
    ),
    Caution.COLD: "Standing still at {cold} chills quickly: dry layers for each stop, a hot drink.",
    Caution.LOOK_BY_DAY: (
        "Look at a new place by day first: whether a car may stand there, whose land it is, gates, ice and deep water."
    ),
}


def caution_sentences(cautions: Sequence[SiteCaution]) -> tuple[str, ...]:
    """Give the cautions of a sheet."""
    return tuple(
        SENTENCES[one.caution].format(far=distance(one.value or 0), cold=temperature(one.value or 0))
        for one in cautions
    )
