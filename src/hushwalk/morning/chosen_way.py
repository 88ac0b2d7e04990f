"""Chooses how a morning is worked: plans for several ways, played on the same days; the one that finds most is taken.

The ways are compared in day/compared_ways.py; the rule for a morning without a plan is way_of_working.py's.
"""

from dataclasses import replace

from hushwalk.errors import SettingsError
from hushwalk.hearing.level_soundscape import LEAFLESS
from hushwalk.morning.day.compared_ways import choices_min, compare_ways
from hushwalk.morning.day_chances import WayWorth
from hushwalk.morning.look_round import Morning
from hushwalk.morning.morning_problem import MorningProblem
from hushwalk.morning.way_of_working import Way, WayOfWorking, WhyWay, way_of_working
from hushwalk.notes.figures import figure

MINUTE_S = 60.0  # definition
LEAST_GAIN = 0.15  # judgement: played days know no difference between ways that is smaller than this, in logs a day
LEAST_SHARE = 0.2  # judgement: where few birds are expected all differences are small; then this share of the worth
FLAT_SHARE = 0.1  # judgement: or this share of the worth, where that is less
FLAT = 0.07  # judgement: 200 days tell no smaller difference; then most minutes are kept, unused to listen in


def chosen_way(morning: Morning, morning_problem: MorningProblem) -> WayOfWorking:
    """Choose how a morning is worked: as the trip file says, else so that most logs are found.

    Nobody closes in in an evening, for the search that follows would fall into the dark, nor on a bird whose card keeps
    farther off than the stops do, whatever the trip file says.

    Raises
    ------
    SettingsError
        If the trip file keeps so much free that no stop is left.
    """
    settings, free = morning.settings.morning, replace(morning, kept_free_s=0.0)
    earshot_m = morning.detectability.level.earshot_m(LEAFLESS)
    if settings.evening:
        return WayOfWorking(Way.CROSS, WhyWay.EVENING, 0.0, earshot_m, 0.0)
    if morning.site.card.stand_off_m > morning.settings.walker.stand_off_m:
        return WayOfWorking(Way.CROSS, WhyWay.KEPT_OFF, 0.0, earshot_m, 0.0)
    said = way_of_working(settings, earshot_m, 0.0, free.window_s)
    own_min = (said.kept_free_s / MINUTE_S,) if said.why is WhyWay.CHOSEN else ()
    left_s = free.window_s - said.kept_free_s
    if left_s < settings.minutes_per_stop_min * MINUTE_S:
        raise SettingsError(
            f"morning.closing_in_minutes ({settings.closing_in_minutes}) leaves {max(left_s, 0) / MINUTE_S:.0f} of the "
            f"morning's {free.window_s / MINUTE_S:.0f} minutes for walking and listening; give fewer, or a later "
            "morning.back_by"
        )
    most_min = figure("closing_in", "most_share") * free.window_s / MINUTE_S
    compared = compare_ways(free, morning_problem, choices_min(most_min, *own_min))
    males = compared[0].males if compared and compared[0].closing_in_min == 0 else 0.0
    rule = replace(way_of_working(settings, earshot_m, males, free.window_s), compared=compared)
    return rule if rule.why is WhyWay.CHOSEN else most_logs(rule, compared)


def most_logs(rule: WayOfWorking, compared: tuple[WayWorth, ...]) -> WayOfWorking:
    """Take the way that is worth most; closing in only where it wins enough to be known.

    Parameters
    ----------
    rule : what the rule for a morning without a plan says.
    compared : what each way would give, listening only first.

    Returns
    -------
    WayOfWorking
        The rule's own where nothing could be compared.

    Notes
    -----
    Closing in wins enough where it is worth ``LEAST_GAIN`` more than listening only, or ``LEAST_SHARE`` of what that is
    worth where this is less: a bird that is heard on poor ground is the only one, and worth going to.
    """
    if not compared:
        return rule
    best = max(one.chances.worth for one in compared)
    listening = compared[0].chances.worth if compared[0].closing_in_min == 0 else -1.0
    if best - listening < min(LEAST_GAIN, LEAST_SHARE * max(listening, 0.0)):
        against = rule.why if rule.way is Way.CROSS else WhyWay.WINS_LITTLE
        return replace(rule, way=Way.CROSS, why=against, kept_free_s=0.0)
    flat = min(FLAT, FLAT_SHARE * best)
    kept_min = max(one.closing_in_min for one in compared if one.chances.worth >= best - flat)
    return replace(rule, way=Way.CLOSE_IN, why=WhyWay.MOST_LOGS, kept_free_s=kept_min * MINUTE_S)


def with_time_kept_free(
    morning: Morning, morning_problem: MorningProblem, chosen: WayOfWorking
) -> tuple[Morning, MorningProblem]:
    """Shorten a morning and its problem by what is kept free, so that a plan of it can still close in and be back.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    morning_problem : posts, times and chances.
    chosen : how the morning is worked.

    Returns
    -------
    tuple
        Morning and problem.
    """
    shorter = replace(morning, kept_free_s=chosen.kept_free_s)
    problem = replace(morning_problem.problem, latest_s=shorter.last_s, budget_s=shorter.window_s)
    return shorter, replace(morning_problem, problem=problem)
