"""The habitat of a trip in words: patches, males, why a place is good, and how the surface agrees with known birds.

The surface itself is the habitat room's.
"""

import numpy as np

from hushwalk.grid.points import to_metres
from hushwalk.habitat.calibration import Interval
from hushwalk.habitat.evidence import FEWEST, Evidence
from hushwalk.habitat.patches import patches
from hushwalk.habitat.why import Rating, Reason, Why, why
from hushwalk.site.site import Site
from hushwalk.wording.measures import distance, small_area, wide_area

PATCHES_LISTED = 8


def habitat_words(site: Site) -> str:
    """Tell how many males the ground holds, and its best patches."""
    low, middle, high = site.habitat.males.males()
    area = site.grid.n_cells * site.grid.cell_area_km2
    lines = [f"{wide_area(area)} hold about {middle:.1f} displaying males ({low:.1f} to {high:.1f})."]
    found = patches(site.habitat.suitability, site.habitat.males, site.card.patch).patches
    lines.append(f"{len(found)} patches of good ground (suitability {site.card.patch.good_from:g} or more):")
    lines += [
        f"{patch.number:4d}. {small_area(patch.area_ha):>10}, {small_area(patch.core_ha)} of it core, shape "
        f"{patch.shape:.1f}: {patch.males:.1f} males ({patch.males_low:.1f} to {patch.males_high:.1f}), room for "
        f"{patch.territories} territories, round E {patch.centre_m[0]:.0f} N {patch.centre_m[1]:.0f}"
        for patch in found[:PATCHES_LISTED]
    ]
    if len(found) > PATCHES_LISTED:
        lines.append(f"      and {len(found) - PATCHES_LISTED} more")
    return "\n".join([*lines, *(f"- {words}" for words in site.notices)])


def evidence_words(evidence: Evidence, notices: tuple[str, ...]) -> str:
    """Tell how well the surface agrees with known birds, the verdict first."""
    lines = [
        evidence_sentence(evidence),
        f"  rank correlation by bins (boyce_2002):             {interval_words(evidence.boyce)}",
        f"  rank correlation in a moving window (hirzel_2006): {interval_words(evidence.continuous)}",
        f"  chance that a bird's ground is the better (auc):   {interval_words(evidence.auc)}",
        "  suitability  of ground  of males  birds  expected  known over expected",
    ]
    lines += [
        f"  {step.low:.1f} to {step.high:.1f}   {step.ground_share:8.1%} {step.males_share:9.1%} {step.birds:6d} "
        f"{step.expected:9.1f}  {interval_words(step.ratio)}"
        for step in evidence.bins
    ]
    return "\n".join([*lines, *(f"- {words}" for words in notices)])


def evidence_sentence(evidence: Evidence) -> str:
    """Say what the numbers allow to say."""
    if not evidence.enough:
        return (
            f"{evidence.birds} known birds are a handful and no validation: {FEWEST} or more are needed before the "
            "numbers below say how good the surface is."
        )
    low = evidence.continuous.low
    if not np.isfinite(low):
        return "The surface has too few different values to be held against birds."
    if low > 0 and evidence.auc.low > 0.5:  # noqa: PLR2004  definition: no better than chance
        return f"The surface ranks ground as {evidence.birds} known birds do, better than chance."
    if evidence.continuous.high < 0:
        return f"The surface is at odds with {evidence.birds} known birds: they stand on ground that it ranks low."
    return f"From {evidence.birds} known birds it cannot be told whether the surface ranks ground better than chance."


def interval_words(interval: Interval) -> str:
    """Give a value and its interval, to two decimals."""
    if not np.isfinite(interval.value):
        return "cannot be told"
    return f"{interval.value:.2f} (95 % {interval.low:.2f} to {interval.high:.2f})"


def why_words(site: Site, lonlat: tuple[float, float]) -> str:
    """Say why a place is good or bad: one line an ingredient, those that count most first.

    Parameters
    ----------
    site : the ground of the trip.
    lonlat : longitude and latitude of the place [deg].

    Raises
    ------
    PlaceError
        If the place lies off the ground of the trip.
    """
    xy = to_metres(site.grid.epsg, np.array(lonlat))
    if site.ground.water[site.grid.cell_at((float(xy[0]), float(xy[1])), "the place asked about")]:
        return "This is open water: no bird displays here, and nobody walks or stands here."
    found = why(site.habitat.surface, (float(xy[0]), float(xy[1])))
    males = float(site.density.at(xy)[0])
    density = f"About {males:.1f} displaying males per square kilometre of such ground."
    lines = [f"  x {reason.factor:4.2f}  {reason_words(reason)}" for reason in found.reasons]
    return "\n".join([why_sentence(found), density, "", *lines])


def why_sentence(found: Why) -> str:
    """Say in one sentence how good a place is, what is for it and what against it."""
    if not np.isfinite(found.suitability):
        return "Nothing is known of this ground."
    rated = {rating: [r.need.label for r in found.reasons if r.rating is rating and r.weight > 0] for rating in Rating}
    parts = [f"Worth {found.suitability:.2f} of the best ground"]
    parts += [f"for it: {', '.join(rated[Rating.GOOD])}"] if rated[Rating.GOOD] else []
    parts += [f"against it: {', '.join(rated[Rating.POOR])}"] if rated[Rating.POOR] else []
    parts.append(f"the ground within {distance(found.home_radius_m)} averages {found.home:.2f}")
    return "; ".join(parts) + "."


def reason_words(reason: Reason) -> str:
    """Say in one clause what was measured of an ingredient, and how good that is."""
    need = reason.need
    if reason.rating is Rating.UNKNOWN:
        return f"{need.label}: not known here"
    rated = f"{reason.rating.value}{', assumed' if need.assumed else ''}"
    if not np.isfinite(reason.value):
        return f"{need.label}: taken as {reason.score:.2f} of 1, no layer ({rated})"
    measured = f"{reason.value:.2f}" if need.unit == "1" else f"{reason.value:.0f} {need.unit}"
    return f"{need.label}: {measured}, scored {reason.score:.2f} ({rated})"
