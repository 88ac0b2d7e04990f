"""The search of a late morning in words, as a tired person reads them.

Maps, sheet and GPS file are drawn by outputs.
"""

from collections.abc import Iterable

from hushwalk.birds.search.planned_search import Search, SearchLeg, SearchPass, SearchReport
from hushwalk.birds.search.search_plan import LeftOut, SearchParams, WhyLeftOut
from hushwalk.text import counted, plural
from hushwalk.wording.formats import percent
from hushwalk.wording.measures import as_noted, distance, small_area, speed
from hushwalk.wording.unread_words import unread_words


def search_words(report: SearchReport) -> str:
    """Give the search: when, in which order, by which rules, and what was left out."""
    search = report.search
    lines = [
        f"{report.title}, search of {report.day:%A %d %B %Y}",
        f"  begin             {search.not_before:%H:%M}, not earlier",
        f"  back at the car   {search.back:%H:%M} (by {search.back_by:%H:%M})",
        f"  areas             {len(search.legs)}, {search.logs_expected:.1f} logs expected to be found",
        f"  assumed           {assumed_words(search)}",
        "",
        *(line for leg in search.legs for line in _leg(leg, search.params)),
        *(f"  left out          {line}" for line in left_out_lines(search.left_out)),
        "",
        *(f"  {number}. {rule}" for number, rule in enumerate(search_rules(search.params), start=1)),
        "",
        *(f"  note: {notice}" for notice in (*report.notices, *unread_words(report.unread))),
    ]
    if not search.legs:
        lines.insert(6, "  no area can be reached, searched and left in the time there is; give more --hours")
    return "\n".join(lines)


def _leg(leg: SearchLeg, params: SearchParams) -> list[str]:
    span, entry = f"{leg.arrive:%H:%M} to {leg.leave:%H:%M}", leg.entry
    way = f"{distance(leg.distance_m)}, {leg.minutes:.0f} min, towards {leg.magnetic_deg:03.0f} compass"
    also = f" (or of {', '.join(leg.also)})" if leg.also else ""
    return [
        f"  {leg.number}. {span}  {leg.bird}, {ground_words(leg)}; {percent(leg.chance)} to find its log{also}",
        f"      walk {way} ({leg.azimuth_deg:03.0f} true)",
        f"      begin at {entry.lat_deg:.5f}, {entry.lon_deg:.5f}  {entry.usng}",
        *(f"      {pass_words(one, params, k)}" for k, one in enumerate(leg.passes, start=1)),
    ]


def ground_words(leg: SearchLeg) -> str:
    """Say how much ground is walked, and how much of it twice."""
    twice = f", {small_area(leg.twice_ha, 2)} of it again across" if leg.twice_ha else ""
    return f"{small_area(leg.area_ha, 2)}{twice}"


def pass_words(one: SearchPass, params: SearchParams, number: int) -> str:
    """Say how the lines of one pass run.

    Parameters
    ----------
    one : the pass.
    params : how far lines lie apart.
    number : 1 for the first pass.

    Returns
    -------
    str
        One sentence.
    """
    there, back = one.towards_magnetic_deg, (one.towards_magnetic_deg + 180) % 360
    what = "Walk" if number == 1 else "Then, across, walk"
    return (
        f"{what} {counted(one.lines, 'line')}, first towards {there:03.0f}, then {back:03.0f} by compass, "
        f"{as_noted(params.effort.strip_m)} from one to the next."
    )


def assumed_words(search: Search) -> str:
    """Say what the search takes for true."""
    effort = search.params.effort
    before = {0: "", 1: "; one earlier search counts"}.get(
        search.searched_before, f"; {search.searched_before} earlier searches count"
    )
    return (
        f"a used log is just seen from {as_noted(effort.seen_from_m)}; lines {as_noted(effort.strip_m)} apart at "
        f"{speed(effort.pace_ms, 'pace')} find {percent(effort.once)} of the logs there, walked once{before}"
    )


def search_rules(params: SearchParams) -> tuple[str, ...]:
    """Give the rules of a search: how to find much and drive no bird away, one sentence each."""
    effort = params.effort
    apart = as_noted(effort.strip_m)
    lines = f"Walk the lines {apart} apart, slowly, and look at every log; the best ground twice, across."
    log = (
        f"At a log that was used stay at most {effort.minutes_at_log:.0f} minutes: note, photograph, touch nothing. "
        f"Then leave the rest of the lines, and look over the {distance(effort.round_log_m)} round it for "
        f"others of his ({effort.round_log_s / 60:.0f} minutes, about what the rest of the lines would take)."
    )
    seen = (
        f"At any log, walk away until its droppings are lost. If that is not {as_noted(effort.seen_from_m)}, "
        "plan again with --seen-from."
    )
    return (
        f"Begin only when no display was heard for {params.quiet_min:.0f} minutes.",
        "If a display is heard, stop, go back the way you came and wait as long again.",
        lines,
        "Search each area once, and do not come back that day.",
        log,
        seen,
        "If a bird flushes, note the place and leave the area; do not follow it.",
        "If a hen with a nest or brood is met, end the search of that area for the season.",
        "No playback, no dogs, no cutting. Local law and the land's own rules come first.",
        "Note what you searched, found or not, with --walked 1: the chance of a log there sinks for the next search.",
    )


def left_out_words(bird: LeftOut) -> str:
    """Say which bird is not searched for today, and why."""
    return f"{bird.bird or 'a bird'}: {_why_left_out(bird)}"


def left_out_lines(birds: Iterable[LeftOut]) -> tuple[str, ...]:
    """Say which birds are not searched for today, those with one reason on one line."""
    alike: dict[str, list[str]] = {}
    for bird in birds:
        alike.setdefault(_why_left_out(bird), []).append(bird.bird or "a bird")
    return tuple(f"{', '.join(names)}: {why}" for why, names in alike.items())


def _why_left_out(bird: LeftOut) -> str:
    return {
        WhyLeftOut.SEARCHED_TODAY: "searched for already that day; no return the same day",
        WhyLeftOut.LOG_FOUND: f"its log {bird.log} is found; do not go back without need",
        WhyLeftOut.NO_TIME: "in the same time more is found elsewhere",
        WhyLeftOut.NO_WAY: "no path leads to where it may be",
    }[bird.reason]


def walked_words(numbers: tuple[int, ...], added: int) -> str:
    """Say what was noted as searched."""
    which = f"{plural(len(numbers), 'area')} {', '.join(map(str, numbers))}"
    if not added:
        return f"{which}: noted already"
    return f"{which}: noted as searched; the chance of a log there is lowered, not gone"
