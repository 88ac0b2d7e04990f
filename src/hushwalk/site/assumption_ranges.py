"""How far the males of a trip's ground move when each assumption moves: rows of a table, or bars of a chart.

What the needs and the region do is sensitivity.py's business; here the quality of cover kinds and the wide radius join.
"""

from collections.abc import Callable, Mapping

import numpy as np

from hushwalk.grid.layer import Layer
from hushwalk.habitat.density import density
from hushwalk.habitat.ingredients import cover_quality, share_of_kinds
from hushwalk.habitat.sensitivity import Swing, swings
from hushwalk.habitat.suitability import suitability
from hushwalk.site.measuring import GROWTH
from hushwalk.site.reading.cover_kinds import cover_kinds
from hushwalk.site.site import Site

STEP = 0.2  # judgement: an assumed quality may as well lie a fifth of the scale higher or lower
WORTH_MOVING = 0.05  # judgement: kinds that hold less than a twentieth of the males move little
BAR = 30  # definition: letters of a bar
WIDER = 2.0  # judgement: aspen was found to matter at 200 to 4,800 m, most at 1,600 m

Count = Callable[[Mapping[str, Layer]], float]


def tornado(site: Site) -> tuple[Swing, ...]:
    """Move every assumption behind the males of a trip's ground, one at a time.

    Returns
    -------
    tuple of Swing
        The widest first: region, year, floor, home range, the weight of each need, the quality of each kind of cover
        that holds a twentieth of the males or more, and the radius that aspen and young forest are looked for in.
    """
    surface, params = site.habitat.surface, site.habitat.males.params
    needs = site.card.needs(site.region.key)
    found = list(swings(needs, surface.measured, surface.params, params, surface.unclassed))
    middle = found[0].males if found else 0.0

    def count(changed: Mapping[str, Layer]) -> float:
        judged = suitability(needs, {**surface.measured, **changed}, surface.params, unclassed=surface.unclassed)
        return density(judged.layer, params).males()[1]

    if site.inputs.cover is not None:
        found += _of_kinds(site, site.inputs.cover, middle, count)
        found += _of_radius(site, site.inputs.cover, middle, count)
    return tuple(sorted(found, key=lambda swing: -swing.span))


def _of_kinds(site: Site, cover: Layer, middle: float, count: Count) -> list[Swing]:
    usual, best = site.card.cover_quality(site.region.key)
    codes = np.where(cover.known, cover.values, 0).astype(int)
    males = np.bincount(codes.ravel(), weights=np.nan_to_num(site.density.values).ravel(), minlength=256)
    rows, kinds, held = site.card.file.cover.kinds, cover_kinds(), site.habitat.surface.measured
    grown = [held[key] for key in GROWTH if key in held]
    found = []
    for code in np.argsort(-males).tolist():
        if code not in usual or males[code] < WORTH_MOVING * males.sum():
            continue
        ends, counts = [], []
        for step in (-STEP, STEP):
            moved = [
                {**words, code: float(np.clip(words[code] + step, 0, 1))} if code in words else words
                for words in (usual, best)
            ]
            layer = cover_quality(cover, moved[0], moved[1], *grown)
            ends.append(f"{moved[0][code]:.2f}")
            counts.append(count({"cover_quality": layer}))
        source = rows[kinds[code].key].source
        assumed = source.startswith("judgement")
        label = f"quality of {kinds[code].label}"
        found.append(Swing(label, ends[0], ends[1], counts[0], counts[1], middle, source, assumed=assumed))
    return found


def _of_radius(site: Site, cover: Layer, middle: float, count: Count) -> list[Swing]:
    if "landscape_share" not in site.habitat.surface.measured:
        return []
    shares = site.card.landscape_shares(site.region.key)
    radii = [site.card.radii.landscape_m / WIDER, site.card.radii.landscape_m * WIDER]
    counts = [
        count({"landscape_share": share_of_kinds(cover, shares, radius_m, "aspen and young forest")})
        for radius_m in radii
    ]
    ends = [f"{radius_m:.0f} m" for radius_m in radii]
    source = site.card.radii.source
    return [Swing("radius of the landscape", ends[0], ends[1], counts[0], counts[1], middle, source, assumed=True)]


def tornado_words(found: tuple[Swing, ...]) -> str:
    """Give the swings as a table with a bar each, the widest first."""
    if not found:
        return "nothing is assumed"
    most = max(max(swing.males_low, swing.males_high) for swing in found)
    wide = max(len(swing.label) for swing in found)
    lines = [f"males on all the ground: {found[0].males:.1f}", ""]
    for swing in found:
        low, high = sorted((swing.males_low, swing.males_high))
        bar = _bar(low, swing.males, high, most)
        mark = "assumed" if swing.assumed else "found"
        lines.append(
            f"{swing.label:{wide}}  {swing.males_low:7.1f} .. {swing.males_high:7.1f}  {bar}  "
            f"{swing.at_low} .. {swing.at_high} ({mark})"
        )
    return "\n".join(lines)


def _bar(low: float, middle: float, high: float, most: float) -> str:
    places = [round(value / most * (BAR - 1)) if most > 0 else 0 for value in (low, middle, high)]
    drawn = ["=" if places[0] <= k <= places[2] else " " for k in range(BAR)]
    drawn[places[1]] = "|"
    return "".join(drawn)
