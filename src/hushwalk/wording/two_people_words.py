"""A morning of two people in a few lines, and how each sheet is headed.

The facts are campaign/two_people.py's.
"""

from collections.abc import Sequence

from hushwalk.campaign.campaign_plan import Campaign
from hushwalk.campaign.crossings import CrossingEffect
from hushwalk.campaign.two_people import SharedStand, TwoPeople
from hushwalk.text import counted
from hushwalk.wording.campaign_words import campaign_words
from hushwalk.wording.crossing_words import WHY, angle_words
from hushwalk.wording.measures import distance, route
from hushwalk.wording.wish_words import way_back_words

PLACED_ALIKE = 0.005  # judgement: males placed are told to two places


def title_words(two: TwoPeople, k: int) -> str:
    """Head the sheet of one of the two: whose it is, with whom, and where and when both meet."""
    name, other = two.walkers[k].name, two.walkers[1 - k].name
    return f"{name}: {two.title}. {other} walks too; meet {_where(two)} by {two.meet:%H:%M}"


def _where(two: TwoPeople) -> str:
    return "at the car" if two.one_car else f"at the car of {two.walkers[0].name}"


def two_people_words(two: TwoPeople) -> str:
    """Give the morning of two people as text."""
    hours = "evening of " if two.evening else ""
    lines = [f"{two.title}, two people on {hours}{two.day:%A} {two.day.day} {two.day:%B %Y}", ""]
    for walker in two.walkers:
        report = walker.report
        lines.append(
            f"  {walker.name}: {report.depart:%H:%M} to {report.back_at_latest:%H:%M}, "
            f"{counted(len(report.stops), 'stop')}, {route(report.length_m)}, {report.males.expected:.1f} males"
            + ("" if walker.walked_twice is None else f"; {way_back_words(walker.walked_twice)}")
        )
    lines += [
        "",
        f"  Together you hear {two.males:.1f} different males; the better walk by itself hears {two.alone:.1f}.",
        f"  Meet {_where(two)} by {two.meet:%H:%M}. Agree beforehand what the other does if one is not there by then.",
        *shared_words(two),
    ]
    return "\n".join(lines)


def pairs_words(campaign: Campaign, pairs: Sequence[TwoPeople]) -> str:
    """Give several days of two people as text: all walks together, and where and when the two meet."""
    lines = [campaign_words(campaign), ""]
    for two in pairs:
        hours = ", evening" if two.evening else ""
        lines.append(f"  {two.day:%a %d %b}{hours}: meet {_where(two)} by {two.meet:%H:%M}.")
        lines += [f"  {words}" for words in shared_words(two)]
    return "\n".join(lines)


def shared_words(two: TwoPeople) -> list[str]:
    """Say at which stands of the same minutes bearings cross."""
    if not two.shared:
        return ["  You never stand at the same time near enough to each other for bearings to cross."]
    return [*(_shared(two, stand) for stand in two.shared), f"  {WHY}", f"  {crossing_words(two.crossing)}"]


def crossing_words(effect: CrossingEffect) -> str:
    """Say what stops of the same minutes place, and what seeking them costs in males heard."""
    placed = f"Bearings of one display from two stops place {effect.placed:.2f} males"
    if effect.placed - effect.placed_before < PLACED_ALIKE:
        return f"{placed}; the walks are not changed for it."
    lost = max(effect.males_before - effect.males, 0.0)
    return (
        f"{placed} instead of {effect.placed_before:.2f}; for that {lost:.2f} of {effect.males_before:.1f} males heard "
        "by either of you are given up."
    )


def _angle(stand: SharedStand) -> str:
    words = angle_words(stand.angle_deg)
    return words if stand.angle_deg is None else f"bearings cross at {words}"


def _shared(two: TwoPeople, stand: SharedStand) -> str:
    (first, second), (mine, yours) = stand.stops, two.walkers
    return (
        f"  {stand.begin:%H:%M} to {stand.end:%H:%M}: {mine.name} at {first} and {yours.name} at {second}, "
        f"{distance(stand.apart_m)} apart; {_angle(stand)}."
    )
