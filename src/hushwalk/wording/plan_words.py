"""The plan in a dozen lines that a tired person understands.

Maps and sheets are drawn by outputs.
"""

from hushwalk.morning.report import Males, Report
from hushwalk.wording.closing_words import closing_summary
from hushwalk.wording.day_words import disturbing_words, expected_sentences
from hushwalk.wording.evening_words import evening_sentences, of_its_hours
from hushwalk.wording.formats import reserve_words
from hushwalk.wording.going_words import going_sentence
from hushwalk.wording.males_words import steps_sentences
from hushwalk.wording.measures import distance, height, route
from hushwalk.wording.morning_words import listening_sentences, notice_sentences, plain_walk_sentence, proof_words
from hushwalk.wording.notes_effect_words import notes_effect_sentences
from hushwalk.wording.passage_words import passage_sentences
from hushwalk.wording.range_words import region_sentences
from hushwalk.wording.robustness_words import robustness_words
from hushwalk.wording.wish_words import wish_sentences


def summary_words(report: Report) -> str:
    """Give the summary of a plan as text.

    Returns
    -------
    str
        Leave, first stop, sunrise, stops, kilometres, back at the car, expected males, compared with the plain walk.
    """
    males, plain = report.males, report.plain
    lines = [
        f"{report.title}, {report.depart:%A %d %B %Y}",
        f"  {going}" if (going := going_sentence(report)) else "",
        _leave(report),
        *_stops(report),
        _sun(report),
        f"  back at the car   {_back(report)}",
        f"  walk              {route(report.length_m)}, {height(report.climb_m)} of climb",
        f"                    {reserve_words(report)[:1].lower()}{reserve_words(report)[1:-1]}",
        (
            f"  males expected    {males.expected:.1f} heard (range {males.low:.1f} to {males.high:.1f}), "
            "with year and weather as assumed: the mean over the levels of evidence by weight"
        ),
        _by_evidence(males),
        *(
            f"{'':20}{sentence}"
            for sentence in steps_sentences(males.steps, males.expected, evening=report.evening is not None)
        ),
        ""
        if report.males_passed is None
        else f"  on the way        {report.males_passed:.1f} males {disturbing_words()} of you, closing in aside",
        f"  plain walk        {plain_walk_sentence(plain)}",
        f"  the plan hears    {_times_more(report)}" if plain.stops else "",
        f"  how good it is    {proof_words(report.proof)}",
        f"  seed              {report.settings.seed}",
    ]
    words = [
        f"  {sentence}"
        for sentence in (
            *wish_sentences(report.wish_effect),
            *notes_effect_sentences(report.notes_effect),
            *closing_summary(report.closing),
            *expected_sentences(report.expected),
            *listening_sentences(report.listening),
            *robustness_words(report.robustness),
        )
    ]
    notices = [f"  note: {notice}" for notice in notice_sentences(report)]
    evening = evening_sentences(report.evening)
    regional = region_sentences(report.region, report.settings.ground.cycle, report.settings.derived_zone)
    assumed = [f"  assumed: {words}" for words in (*passage_sentences(report.passage), *regional, *evening)]
    return "\n".join([line for line in lines if line] + words + notices + assumed)


def _sun(report: Report) -> str:
    if report.evening is not None:
        return f"  sunset            {report.sun.sunset:%H:%M}" if report.sun.sunset else ""
    return f"  sunrise           {report.sun.sunrise:%H:%M}" if report.sun.sunrise else ""


def _leave(report: Report) -> str:
    if report.start is None:
        return f"  leave the car     {report.depart:%H:%M}"
    return f"  set out           {report.depart:%H:%M} from START, {report.start.usng}"


def _back(report: Report) -> str:
    if report.closing is None or report.back_at_latest == report.back:
        return f"{report.back:%H:%M}"
    kept_min = report.closing.working.kept_free_s / 60
    return f"{report.back:%H:%M}; {report.back_at_latest:%H:%M} with the {kept_min:.0f} min kept for closing in"


def _by_evidence(males: Males) -> str:
    return (
        f"{'':20}{males.focal:.1f} if one hears as those do who listen for this bird (focal evidence), "
        f"{males.middle:.1f} in the middle, {males.pessimistic:.1f} as in counts of all birds (pessimistic)"
    )


def _stops(report: Report) -> list[str]:
    if not report.stops:
        return [of_its_hours("  no stop fits into the morning", evening=report.evening is not None)]
    first, last = report.stops[0], report.stops[-1]
    return [
        f"  first stop        {first.arrive:%H:%M}",
        f"  stops             {len(report.stops)}, the last until {last.leave:%H:%M}",
    ]


def _times_more(report: Report) -> str:
    plain = report.plain.males_expected
    if plain <= 0:
        return "where the plain walk hears none"
    return f"{report.males.expected / plain:.1f} times as many as the plain walk"


def timetable_words(report: Report) -> str:
    """Give the timetable as text, one line a leg and one a stop."""
    lines = []
    for leg, stop in zip(report.legs, (*report.stops, None), strict=True):
        bearing = f"{leg.azimuth_deg:03.0f} true, {leg.magnetic_deg:03.0f} compass"
        lines.append(f"  {leg.depart:%H:%M}  walk {distance(leg.length_m):>8} to {leg.end}  ({bearing})")
        if stop is not None:
            back = f"; last moment to leave {stop.latest_leave:%H:%M}" if stop.latest_leave else ""
            lines.append(f"  {stop.arrive:%H:%M}  {stop.place.name} {stop.place.usng}, until {stop.leave:%H:%M}{back}")
    lines.append(f"  {report.back:%H:%M}  at the car")
    return "\n".join(lines)
