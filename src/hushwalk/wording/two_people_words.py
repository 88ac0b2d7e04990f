"""A morning of two people in a few lines, and how each sheet is headed.

The facts are campaign/two_people.py's.
"""

from hushwalk.campaign.two_people import SharedStand, TwoPeople
from hushwalk.text import counted
from hushwalk.wording.measures import distance, route


def title_words(two: TwoPeople, k: int) -> str:
    """Head the sheet of one of the two: whose it is, with whom, and where and when both meet."""
    name, other = two.walkers[k].name, two.walkers[1 - k].name
    return f"{two.title}: {name}. {other} walks too; meet {_where(two)} by {two.meet:%H:%M}"


def _where(two: TwoPeople) -> str:
    return "at the car" if two.one_car else f"at the car of {two.walkers[0].name}"


def two_people_words(two: TwoPeople) -> str:
    """Give the morning of two people as text."""
    lines = [f"{two.title}, two people on {two.meet:%A} {two.meet.day} {two.meet:%B %Y}", ""]
    for walker in two.walkers:
        report = walker.report
        lines.append(
            f"  {walker.name}: {report.depart:%H:%M} to {report.back_at_latest:%H:%M}, "
            f"{counted(len(report.stops), 'stop')}, {route(report.length_m)}, {report.males.expected:.1f} males"
        )
    lines += [
        "",
        f"  Together you hear {two.males:.1f} different males; the better walk by itself hears {two.alone:.1f}.",
        f"  Meet {_where(two)} by {two.meet:%H:%M}. Agree beforehand what the other does if one is not there by then.",
        *(_shared(two, stand) for stand in two.shared),
    ]
    if not two.shared:
        lines.append("  You never stand at the same time near enough to each other for bearings to cross.")
    return "\n".join(lines)


def _shared(two: TwoPeople, stand: SharedStand) -> str:
    (first, second), (mine, yours) = stand.stops, two.walkers
    return (
        f"  {stand.begin:%H:%M} to {stand.end:%H:%M}: {mine.name} at {first} and {yours.name} at {second}, "
        f"{distance(stand.apart_m)} apart; note the time of every bearing, for two of one display cross."
    )
