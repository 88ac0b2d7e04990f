"""Whether a morning is worth going for, and what the weather does to it, as data of summary.json.

The judgement is worth_going.py's, the rest of the summary walk_data.py's.
"""

from typing import Any

from hushwalk.hearing.morning_verdict import Verdict
from hushwalk.morning.report import Report
from hushwalk.morning.worth_going import worth_going
from hushwalk.wording.evening_words import of_its_hours
from hushwalk.wording.going_words import going_sentence
from hushwalk.wording.morning_words import hindrance_words, verdict_sentence

Json = dict[str, Any]


def going_fields(report: Report) -> Json:
    """Give whether to go and what the weather does, with their words; None for what is not judged or was taken out."""
    weather = None if report.verdict is None else _weather(report.verdict, evening=report.evening is not None)
    return {"worth_going": _going(report), "verdict": weather}


def _going(report: Report) -> Json | None:
    going = worth_going(report)
    if going is None:
        return None
    return {
        "going": of_its_hours(going.going.value, evening=report.evening is not None),
        "against": [one.value for one in going.against],
        "nothing_heard": None if going.empty is None else round(going.empty, 3),
        "log_found": None if going.log is None else round(going.log, 3),
        "over_plain": None if going.over_plain is None else round(going.over_plain, 2),
        "loud_stops": going.loud_stops,
        "trust": round(going.trust, 2),
        "words": going_sentence(report),
    }


def _weather(verdict: Verdict, *, evening: bool) -> Json:
    return {
        "word": verdict.word,
        "share_of_calm": round(verdict.share_of_calm, 3),
        "reason": hindrance_words(verdict),
        "sentence": verdict_sentence(verdict, evening=evening),
    }
