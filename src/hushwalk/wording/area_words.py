"""Ranked areas in words: for the command line, and head, table, key and what to trust of the report.

What is said of an area that was looked at closely is plate_words.py's.
"""

from hushwalk.grid.points import lonlat_text
from hushwalk.regions.area_report import Area, Areas, Plate, Unranked
from hushwalk.text import counted
from hushwalk.wording.credit_words import credit_sentences
from hushwalk.wording.formats import sentence
from hushwalk.wording.measures import unit, wide_area
from hushwalk.wording.range_words import law_sentence, out_of_range_sentence, region_sentences, wrong_zone_sentence

HEAD = ("no.", "place", "males heard", "of them new", "stops", "walk-in min", "reach, {}", "closed %", "drive min")
SIGNS = {
    "reach": "from here on foot one is back in time",
    "stop": "about where one would listen",
    "road": "road",
    "trail": "trail",
    "stream": "stream",
    "closed": "closed: keep out",
}
ESTIMATES = (
    "The males heard are estimates to rank places by: hearing as over level ground under the cover of the place, "
    "and the way between two stops from the pace of the ways from the car. The noise of traffic and of running water "
    "is not weighed here: near a busy road or a loud stream fewer are heard, as the plan of the walk says stop by stop"
)
A_LITTLE = 0.005  # judgement: half a per cent of closed ground is worth no word


def area_words(areas: Areas, top: int) -> str:
    """Tell the best areas, what was left out and what to know, one line each.

    Parameters
    ----------
    areas : ranked.
    top : how many to tell.
    """
    region = areas.region
    held = [patch.males for patch in region.patches]
    grid = region.grid
    size_km2 = grid.n_cells * grid.cell_area_km2
    low, high = (sum(getattr(p, name) for p in region.patches) for name in ("males_low", "males_high"))
    head = (
        f"{areas.settings.region.name}: {wide_area(size_km2, 0)} in cells of {grid.cell_m:g} m; "
        f"{len(held)} patches of good ground hold about {sum(held):,.0f} displaying males ({low:,.0f} to {high:,.0f})."
    )
    lines = [head, ""]
    lines += [
        f"{area.rank:3d}. {area.place.name} ({area.lat_deg:.5f}, {area.lon_deg:.5f}): {area_reasons(area)}."
        for area in areas.areas[:top]
    ]
    if len(areas.areas) > top:
        lines.append(f"     and {len(areas.areas) - top} more in areas.csv")
    estimates = (
        "the males heard are estimates to rank places by, without the noise of traffic and water; plan the walk itself "
        "with hushwalk start --from-area"
    )
    return "\n".join([*lines, "", *(f"- {words}" for words in (*unranked_lines(areas), *_known(areas), estimates))])


def area_reasons(area: Area) -> str:
    """Say in one line why an area stands where it does."""
    score = area.score
    reasons = [f"a dawn walk could hear {score.males:.1f} males from {counted(score.stops, 'stop')}"]
    if score.cover:
        reasons.append(f"good cover in earshot: {score.cover}")
    reasons.append(f"{100 * area.new_share:.0f} % of them are heard from no better place and on no scouted ground")
    if score.closed_share > A_LITTLE:
        reasons.append(f"{100 * score.closed_share:.0f} % of the ground round about is closed")
    if area.drive_min is not None:
        reasons.append(f"{area.drive_min:.0f} minutes to drive")
    return "; ".join(reasons)


def unranked_words(unranked: Unranked) -> str:
    """Say how many places were left out, and why."""
    more = " and others" if unranked.places > len(unranked.names) else ""
    which = f" ({', '.join(unranked.names)}{more})" if unranked.names else ""
    return f"{unranked.places} of {unranked.of_places} places were left out because {unranked.fault.value}{which}"


def unranked_lines(areas: Areas) -> tuple[str, ...]:
    """Say which places are not in the ranking, and why."""
    return tuple(unranked_words(one) for one in areas.unranked)


def scale_text(scale: int) -> str:
    """Write a scale with gaps, such as 1:100 000."""
    return f"1:{scale:,}".replace(",", " ")


def title(areas: Areas) -> str:
    """Say what the report is."""
    return f"Where to scout next: {areas.settings.region.name}"


def lead(areas: Areas) -> str:
    """Say in two lines what was looked at."""
    region, morning = areas.region, areas.settings.morning
    size = region.grid.n_cells * region.grid.cell_area_km2
    n = len(areas.areas)
    return (
        f"{sentence(region.scoring.card.name)[:-1]}, dawn of {morning.date:%d %B %Y}, back by {morning.back_by:%H:%M}. "
        f"{wide_area(size, 0)} were judged, and {counted(n, 'place')} to leave a car ranked by the males that a dawn "
        "walk from there could hear and no better place can."
    )


def columns(areas: Areas) -> tuple[str, ...]:
    """Give the heads of the table; without a drive asked for, without its column."""
    head = tuple(one.format(unit("wide")[0]) for one in HEAD)
    return head if any(area.drive_min is not None for area in areas.areas) else head[:-1]


def cells(area: Area) -> tuple[str, ...]:
    """Give the row of an area."""
    score = area.score
    lines = (
        str(area.rank),
        area.place.name,
        f"{score.males:.1f}",
        f"{area.new_males:.1f}",
        str(score.stops),
        f"{max(score.walk_in_min, 1):.0f}",
        f"{score.reach_km2 / unit('wide')[1]:.1f}",
        f"{100 * score.closed_share:.0f}",
    )
    return lines if area.drive_min is None else (*lines, f"{area.drive_min:.0f}")


def place_text(plate: Plate) -> str:
    """Write the place of the car in the three ways that receivers take."""
    area = plate.area
    return f"{plate.usng}; {lonlat_text((area.lon_deg, area.lat_deg))}; {area.lat_deg:.5f}, {area.lon_deg:.5f}"


def trust(areas: Areas) -> tuple[str, ...]:
    """Say how far to trust the ranking, what was left out, and what to do next."""
    plan_on = "Plan the walk itself with: hushwalk start FOLDER --from-area NUMBER"
    return tuple(sentence(words) for words in (ESTIMATES, *_known(areas), plan_on, *credit_sentences(areas.credits)))


def _known(areas: Areas) -> tuple[str, ...]:
    """What was left out, what is doubtful, and the first assumptions of the species card."""
    bird, card = areas.region.bird, areas.region.scoring.card
    regional = region_sentences(bird, areas.region.scoring.cycle, areas.settings.derived_zone)
    assumed = (f"assumed: {words}" for words in (*regional, *card.assumptions[:3]))
    return (*warning_lines(areas), *areas.notices, *assumed)


def warning_lines(areas: Areas) -> tuple[str, ...]:
    """Say what stands above the ranking: no bird of this kind here, another clock, a law."""
    bird, name = areas.region.bird, areas.region.scoring.card.name
    elsewhere = (out_of_range_sentence(name, bird.out_of_range_km),) if bird.out_of_range_km else ()
    laws = (law_sentence(name, law) for law in areas.region.laws)
    wrong = areas.wrong_zone
    clock = () if wrong is None else (wrong_zone_sentence(*wrong, where="the middle of the region lies"),)
    return (*elsewhere, *clock, *laws)
