"""The search of a late morning in words, as a tired person reads them.

Maps, sheet and GPS file are drawn by outputs.
"""

from hushwalk.birds.bird_report import SearchLeg, SearchReport


def search_words(report: SearchReport) -> str:
    """Tell the search: when, in which order, by which rules, and what was left out."""
    search = report.search
    lines = [
        f"{report.title}, search of {report.day:%A %d %B %Y}",
        f"  begin             {search.not_before:%H:%M}, not earlier",
        f"  back at the car   {search.back:%H:%M} (by {search.back_by:%H:%M})",
        f"  areas             {len(search.legs)}, {search.logs_expected:.1f} logs expected to be found",
        "",
        *(line for leg in search.legs for line in _leg(leg)),
        *(f"  left out          {words}" for words in search.left_out),
        "",
        *(f"  {number}. {rule}" for number, rule in enumerate(search.rules, start=1)),
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
