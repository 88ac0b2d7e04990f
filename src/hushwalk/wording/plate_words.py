"""What speaks for an area and against it, what is known of the land, and how one comes there.

The numbers are those of the ranking and of the closer look that regions/area_plates.py takes.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hushwalk.habitat.why import Rating
from hushwalk.regions.area_report import Area, Areas, Look, Plate
from hushwalk.regions.area_score import PlaceParams
from hushwalk.text import counted
from hushwalk.wording.males_words import display_step
from hushwalk.wording.measures import distance, wide_area

NAMED = 2  # judgement: more than two ingredients on a line are not taken in
WEIGHTY = 0.15  # judgement: what weighs less, such as steepness, speaks for no place
WORTH_NAMING = 0.97  # judgement: an ingredient that takes less than 3 % is no reason
SOON_MIN, FAR_MIN = 10.0, 30.0  # judgement: a walk-in within ten minutes is short, one of half an hour is long
MOST_USED = 0.95  # judgement: from here on the morning is full
SMALL_REACH, DULL = 0.6, 0.8  # judgement: of the usual reach and of the usual earshot of all places
OVERLAP = 0.5  # judgement: where more than half is heard elsewhere, the reader should know
A_LITTLE = 0.005  # judgement: half a per cent is worth no word


@dataclass(frozen=True)
class PlateWords:
    """What speaks for an area and against it, what is known of the land, and how one comes there."""

    good: tuple[str, ...]
    held_back: tuple[str, ...]
    land: str
    access: str


def plate_words(plate: Plate, areas: Areas) -> PlateWords:
    """Say what to think of an area that was looked at closely, compared with all others."""
    return PlateWords(
        good=tuple(_good(plate.area, areas.areas, plate.look, areas.place_params.walk.participation)),
        held_back=tuple(_held_back(plate.area, areas.areas, plate.look, areas.place_params)),
        land=_land(plate.area, plate.look),
        access=_access(plate.area, plate.look),
    )


def _good(area: Area, areas: Sequence[Area], look: Look, participation: float) -> list[str]:
    score = area.score
    better = sum(other.score.males < score.males for other in areas)
    stops = counted(score.stops, "stop")
    living = f"{score.males_in_reach:.1f} males live in earshot of the ground in reach"
    lines = [
        f"{living}; {display_step(score.males_in_reach, participation)}",
        f"A dawn walk could hear {score.males:.1f} of them from {stops}{_among(better, len(areas))}",
    ]
    if look.good_km2 > 0:
        lines.append(
            f"{wide_area(look.good_km2)} of good ground in reach, {_share(look.good_km2, score.reach_km2)} of all of it"
        )
    if score.cover:
        lines.append(f"Most males in earshot live in {score.cover}")
    best = [
        r for r in look.ingredients if r.rating is Rating.GOOD and r.weight >= WEIGHTY and r.need.role == "compensating"
    ]
    best = sorted(best, key=lambda reason: -reason.score)[:NAMED]
    if best:
        lines.append(f"For it: {'; '.join(reason.need.label for reason in best)}")
    if score.males > 0 and area.new_males / score.males > 1 - OVERLAP / 10:
        lines.append("Nearly all of it is new: heard from no better place and on no scouted ground")
    if score.walk_in_min <= SOON_MIN:
        lines.append(f"The first stop is {max(score.walk_in_min, 1):.0f} min from the car")
    return lines


def _among(better: int, n: int) -> str:
    if 2 * better < n - 1 or n == 1:
        return ""
    return ", the most of all places" if better == n - 1 else f", more than from {better} of the other {n - 1} places"


def _held_back(area: Area, areas: Sequence[Area], look: Look, place_params: PlaceParams) -> list[str]:
    score = area.score
    lines = []
    rated = [r for r in look.ingredients if r.rating in {Rating.FAIR, Rating.POOR}]
    poor = [f"{r.need.label} {r.rating.value}" for r in rated if r.weight > 0 and r.factor < WORTH_NAMING]
    if poor:
        lines.append(f"The ground in reach: {'; '.join(poor[:NAMED])}")
    displaying = score.males_in_reach * place_params.walk.participation
    if score.used_min * 60 >= MOST_USED * place_params.walk.budget_s and displaying > score.males:
        lines.append("One morning is too short to come near all of them")
    usual = float(np.median([other.score.reach_km2 for other in areas]))
    if score.reach_km2 < SMALL_REACH * usual:
        lines.append(
            f"Water, slopes, closed ground or the edge of the region keep the reach to "
            f"{wide_area(score.reach_km2)}; {wide_area(usual)} are usual"
        )
    if score.half_m < DULL * float(np.median([other.score.half_m for other in areas])):
        lines.append(f"The growth dulls the ear: half of the displays are heard to {distance(score.half_m)} only")
    if score.males > 0 and area.new_males / score.males < 1 - OVERLAP:
        lines.append(f"{_share(score.males - area.new_males, score.males)} of it is heard from better or known places")
    if score.walk_in_min >= FAR_MIN:
        lines.append(f"The first stop is {score.walk_in_min:.0f} min from the car, in the dark")
    return lines or ["Nothing that the layers show"]


def _land(area: Area, look: Look) -> str:
    ask = "whether the ground may be entered is for you to find out"
    if not look.closed_known:
        return f"No layer of closed ground was given: {ask}."
    share = area.score.closed_share
    if share <= A_LITTLE:
        return f"No closed ground round about that the layers know; {ask}."
    named = f" ({', '.join(look.closed_names[:3])})" if look.closed_names else ""
    return f"{100 * share:.0f} % of the ground round about is closed{named}, hatched on the map; for the rest, {ask}."


def _access(area: Area, look: Look) -> str:
    score, place = area.score, area.place
    stands = f"{place.name}{f' ({look.road})' if look.road else ''}"
    drive = "" if area.drive_min is None else f", {max(area.drive_min, 1):.0f} min to drive"
    return f"{stands}{drive}; then {max(score.walk_in_min, 1):.0f} min on foot to the first stop."


def _share(part: float, whole: float) -> str:
    return f"{100 * min(part / whole, 1):.0f} %" if whole > 0 else "0 %"
