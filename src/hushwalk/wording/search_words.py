"""The search of a late morning in words, as a tired person reads them.

Maps, sheet and GPS file are drawn by outputs.
"""

from hushwalk.birds.bird_report import SearchLeg, SearchReport
from hushwalk.birds.search_order import AREAS_TRIED, LeftOut, SearchParams, WhyLeftOut


def search_words(report: SearchReport) -> str:
    """Give the search: when, in which order, by which rules, and what was left out."""
    search = report.search
    lines = [
        f"{report.title}, search of {report.day:%A %d %B %Y}",
        f"  begin             {search.not_before:%H:%M}, not earlier",
        f"  back at the car   {search.back:%H:%M} (by {search.back_by:%H:%M})",
        f"  areas             {len(search.legs)}, {search.logs_expected:.1f} logs expected to be found",
        "",
        *(line for leg in search.legs for line in _leg(leg)),
        *(f"  left out          {left_out_words(bird)}" for bird in search.left_out),
        "",
        *(f"  {number}. {rule}" for number, rule in enumerate(search_rules(search.params), start=1)),
        "",
        *(f"  note: {notice}" for notice in report.notices),
    ]
    if not search.legs:
        lines.insert(5, "  no area can be reached, searched and left in the time there is; give a later --back-by")
    return "\n".join(lines)


def _leg(leg: SearchLeg) -> list[str]:
    part = "all of it" if leg.whole else "its likeliest strips"
    span, entry = f"{leg.arrive:%H:%M} to {leg.leave:%H:%M}", leg.entry
    way = f"{leg.distance_m:.0f} m, {leg.minutes:.0f} min, towards {leg.magnetic_deg:03.0f} compass"
    return [
        f"  {leg.number}. {span}  {leg.bird}, {leg.area_ha:.1f} ha, {part}; log found with chance {leg.chance:.0%}",
        f"      walk {way} ({leg.azimuth_deg:03.0f} true)",
        f"      begin at {entry.lat_deg:.5f}, {entry.lon_deg:.5f}  {entry.usng}",
    ]


def search_rules(params: SearchParams) -> tuple[str, ...]:
    """Give the rules that keep a search from driving birds away, one sentence each."""
    return (
        f"Begin only when no display was heard for {params.quiet_min:.0f} minutes.",
        "If a display is heard, stop, go back the way you came and wait as long again.",
        f"Search each area once, for at most {params.minutes_per_area:.0f} minutes, and do not come back that day.",
        f"At a log that was used stay at most {params.minutes_at_log:.0f} minutes: note, photograph, touch nothing.",
        "If a bird flushes, note the place and leave the area; do not follow it.",
        "If a hen with a nest or brood is met, end the search of that area for the season.",
        "No playback, no dogs, no cutting. Local law and the land's own rules come first.",
    )


def left_out_words(bird: LeftOut) -> str:
    """Say which bird is not searched for today, and why."""
    why = {
        WhyLeftOut.SEARCHED_TODAY: "searched for already that day; no return the same day",
        WhyLeftOut.LOG_FOUND: f"its log {bird.log} is found; do not go back without need",
        WhyLeftOut.NO_TIME: "no time left today",
        WhyLeftOut.TOO_MANY: f"more than {AREAS_TRIED} areas are too many for one morning",
    }
    return f"{bird.bird or 'a bird'}: {why[bird.reason]}"
