"""Ranked areas in words, for the command line.

Tables for other tools are drawn in the outputs room.
"""

from hushwalk.regions.area_report import Areas


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
        f"{areas.settings.region.name}: {size_km2:,.0f} km2 in cells of {grid.cell_m:g} m; {len(held)} patches of good "
        f"ground hold about {sum(held):,.0f} displaying males ({low:,.0f} to {high:,.0f})."
    )
    lines = [head, ""]
    lines += [
        f"{area.rank:3d}. {area.place.name} ({area.lat_deg:.5f}, {area.lon_deg:.5f}): {'; '.join(area.reasons)}."
        for area in areas.areas[:top]
    ]
    if len(areas.areas) > top:
        lines.append(f"     and {len(areas.areas) - top} more in areas.csv")
    text = [*areas.left_out, *areas.notices, *(f"assumed: {words}" for words in region.scoring.card.assumptions[:3])]
    text.append("the males heard are estimates to rank places by; plan the walk itself with hushwalk start --from-area")
    return "\n".join([*lines, "", *(f"- {words}" for words in text)])
