"""A person's own pace in words, and the lines to put into the trip file.

morning/walked_tracks.py learns it.
"""

from hushwalk.morning.walked_tracks import PaceReport
from hushwalk.text import counted
from hushwalk.walking.own_pace import ENOUGH_FOR_RESERVE_M, ENOUGH_M, LearntFactor
from hushwalk.wording.measures import distance, route


def pace_words(report: PaceReport) -> str:
    """Say what was learnt and how sure it is, and which lines to put into the trip file."""
    pace, walker = report.pace, report.walker
    walks = f"{counted(report.tracks, 'track')} on {counted(report.days, 'day')}"
    lines = [f"{route(pace.walked_m)} walked in {walks}, stops left out."]
    if report.untimed:
        lines.append(f"{counted(report.untimed, 'track')} without times left out.")
    if report.outside_m > 0:
        lines.append(f"{route(report.outside_m)} lie off the ground of this trip and are left out.")
    learnt = (
        ("pace_factor", "on the flat", pace.pace, walker.pace_factor),
        ("off_path_factor", "off paths, on top of that", pace.off_path, walker.off_path_factor),
        ("climb_factor", "what height adds uphill", pace.climb, walker.climb_factor),
        ("dark_factor", "in the dark", pace.dark, walker.dark_factor),
    )
    lines += [_learnt_words(what, factor) for _, what, factor, _ in learnt]
    put = [f"{key} = {factor.value:.2f}    # now {now:g}" for key, _, factor, now in learnt if factor is not None]
    if pace.reserve is None:
        lines.append(
            f"reserve: too little was walked by day to say; {route(ENOUGH_FOR_RESERVE_M, 0)} are needed, "
            f"and the {walker.reserve:.0%} of the trip file stay."
        )
    else:
        lines.append(
            f"reserve: with {pace.reserve:.0%} nineteen of twenty mornings take no longer than planned, so far as your "
            "own pace goes; losing the way is not in it."
        )
        put.append(f"reserve = {pace.reserve:.2f}    # now {walker.reserve:g}")
    if put:
        lines += ["", "Put into the trip file:", "", "[walker]", f'pace = "{walker.pace}"', *put]
    return "\n".join(lines)


def _learnt_words(what: str, factor: LearntFactor | None) -> str:
    if factor is None:
        return f"{what}: too little walked to say; {distance(ENOUGH_M)} are needed."
    return (
        f"{what}: {factor.value:.2f} times the published time (95 % between {factor.low:.2f} and {factor.high:.2f}), "
        f"from {route(factor.metres)}."
    )
