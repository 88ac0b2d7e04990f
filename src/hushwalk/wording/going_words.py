"""Whether a morning is worth going for, in one line made of facts.

The judgement is worth_going.py's; the weather has a sentence of its own in morning_words.py.
"""

from hushwalk.morning.report import Males, Report
from hushwalk.morning.worth_going import Against, Going, WorthGoing, worth_going
from hushwalk.wording.day_words import share_words
from hushwalk.wording.evening_words import of_its_hours

LEAD = {
    Going.WORTH: "Worth going",
    Going.DOUBTFUL: "Doubtful",
    Going.NOT_WORTH: "Not worth this morning",
}
AGAINST = {
    Against.NO_BIRD: "the bird is not known to live here",
    Against.OUT_OF_SEASON: "out of season",
    Against.BAD_WEATHER: "the weather leaves too little to hear",
    Against.NEXT_TO_NONE: "next to no male is expected",
    Against.CAR: "the car's place or the clock is in doubt, see the notes",
    Against.SO_SO_WEATHER: "the weather takes a good part",
    Against.FEW: "few males are expected",
    Against.MOSTLY_EMPTY: "most such mornings hear nothing",
    Against.NOT_ABOVE_PLAIN: "a plain walk hears as many",
    Against.LOUD: "traffic takes half of the earshot or more at {going.loud_stops} of {stops} stops",
    Against.LITTLE_KNOWN: "the layers tell little of this ground",
}


def going_parts(report: Report) -> tuple[str, str] | None:
    """Say whether to go, and on what facts that rests; None for a walk that is under way or shared."""
    going = worth_going(report)
    if going is None:
        return None
    against = "; ".join(AGAINST[one].format(going=going, stops=len(report.stops)) for one in going.against)
    facts = "; ".join(_facts(going, report.males))
    lead = of_its_hours(LEAD[going.going] + (f": {against}." if against else "."), evening=report.evening is not None)
    return lead, f"{facts[:1].upper()}{facts[1:]}."


def going_sentence(report: Report) -> str | None:
    """Say in one line whether to go and why; None for a walk that is under way or shared."""
    parts = going_parts(report)
    return None if parts is None else " ".join(parts)


def _facts(going: WorthGoing, males: Males) -> list[str]:
    span = f"range {males.low:.1f} to {males.high:.1f}, with year and weather as assumed"
    facts = [f"{going.males:.1f} males expected to be heard from the stops as planned ({span})"]
    if going.empty is not None:
        found = "" if going.log is None else f" and {share_words(going.log)} find a log"
        facts.append(f"of days that are played, {share_words(going.empty)} hear nothing{found}")
    if going.over_plain is not None:
        facts.append(f"{going.over_plain:.1f} times the best plain walk")
    quiet = {Against.NO_BIRD, Against.OUT_OF_SEASON}
    if not quiet & set(going.against):
        facts.append("in range and season")
    facts.append(f"the layers tell habitat apart by {100 * going.trust:.0f} %")
    return facts
