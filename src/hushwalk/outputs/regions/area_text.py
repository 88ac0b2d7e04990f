"""The words of the area report: head, ranked table, key and what to trust, the same on page and paper.

How they are set is the business of area_page.py and area_sheet.py; the reasons come from the hall.
"""

from hushwalk.grid.points import lonlat_text
from hushwalk.outputs.kit.palette import BANDS
from hushwalk.regions.area_report import Area, Areas, Plate
from hushwalk.wording.formats import sentence

HEAD = ("no.", "place", "males heard", "of them new", "stops", "walk-in min", "reach km²", "closed %", "drive min")
SIGNS = (
    ("reach", "from here on foot one is back in time"),
    ("stop", "about where one would listen"),
    ("road", "road"),
    ("trail", "trail"),
    ("stream", "stream"),
    ("closed", "closed: keep out"),
)
ESTIMATES = (
    "The males heard are estimates to rank places by: hearing as over level ground under the cover of the place, "
    "and the way between two stops from the pace of the ways from the car"
)


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
        f"{size:,.0f} km² were judged, and {n} place{'s' * (n != 1)} to leave a car ranked by the males that a dawn "
        "walk from there could hear and no better place can."
    )


def columns(areas: Areas) -> tuple[str, ...]:
    """Give the heads of the table; without a drive asked for, without its column."""
    return HEAD if any(area.drive_min is not None for area in areas.areas) else HEAD[:-1]


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
        f"{score.reach_km2:.1f}",
        f"{100 * score.closed_share:.0f}",
    )
    return lines if area.drive_min is None else (*lines, f"{area.drive_min:.0f}")


def place_text(plate: Plate) -> str:
    """Write the place of the car in the three ways that receivers take."""
    area = plate.area
    return f"{plate.usng}; {lonlat_text((area.lon_deg, area.lat_deg))}; {area.lat_deg:.5f}, {area.lon_deg:.5f}"


def bands_text() -> tuple[tuple[str, str], ...]:
    """Give colour and word of every step of the suitability."""
    return tuple((band.colour, band.word) for band in BANDS)


def trust(areas: Areas) -> tuple[str, ...]:
    """Say how far to trust the ranking, what was left out, and what to do next."""
    lines = (
        ESTIMATES,
        *areas.left_out,
        *areas.notices,
        *(f"assumed: {words}" for words in areas.region.scoring.card.assumptions[:3]),
        "Plan the walk itself with: hushwalk start FOLDER --from-area NUMBER",
    )
    return tuple(sentence(words) for words in lines)
