"""The habitat of a trip in words: patches, males, and how the surface agrees with known birds.

What a single place is worth is said in site/site.py.
"""

from hushwalk.habitat.evidence import Evidence
from hushwalk.habitat.patches import patches
from hushwalk.site.site import Site

PATCHES_LISTED = 8


def habitat_words(site: Site) -> str:
    """Tell how many males the ground holds, and its best patches."""
    low, middle, high = site.habitat.males.males()
    area = site.grid.n_cells * site.grid.cell_area_km2
    lines = [f"{area:.1f} km2 hold about {middle:.1f} displaying males ({low:.1f} to {high:.1f})."]
    found = patches(site.habitat.suitability, site.habitat.males, site.card.patch).patches
    lines.append(f"{len(found)} patches of good ground (suitability {site.card.patch.good_from:g} or more):")
    lines += [
        f"{patch.number:4d}. {patch.area_ha:7.1f} ha, {patch.core_ha:.1f} ha of it core, shape {patch.shape:.1f}: "
        f"{patch.males:.1f} males ({patch.males_low:.1f} to {patch.males_high:.1f}), room for {patch.territories} "
        f"territories, round E {patch.centre_m[0]:.0f} N {patch.centre_m[1]:.0f}"
        for patch in found[:PATCHES_LISTED]
    ]
    if len(found) > PATCHES_LISTED:
        lines.append(f"      and {len(found) - PATCHES_LISTED} more")
    return "\n".join([*lines, *(f"- {words}" for words in site.notices)])


def evidence_words(evidence: Evidence, notices: tuple[str, ...]) -> str:
    """Tell how well the surface agrees with known birds, the verdict first."""
    lines = [
        evidence.sentence,
        f"  rank correlation by bins (boyce_2002):             {evidence.boyce.words()}",
        f"  rank correlation in a moving window (hirzel_2006): {evidence.continuous.words()}",
        f"  chance that a bird's ground is the better (auc):   {evidence.auc.words()}",
        "  suitability  of ground  of males  birds  expected  known over expected",
    ]
    lines += [
        f"  {step.low:.1f} to {step.high:.1f}   {step.ground_share:8.1%} {step.males_share:9.1%} {step.birds:6d} "
        f"{step.expected:9.1f}  {step.ratio.words()}"
        for step in evidence.bins
    ]
    return "\n".join([*lines, *(f"- {words}" for words in notices)])
