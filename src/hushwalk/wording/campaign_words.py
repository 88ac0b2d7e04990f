"""A campaign of days in a few lines that a tired person understands.

The facts are campaign/campaign_plan.py's.
"""

from hushwalk.campaign.campaign_plan import Campaign, PlannedDay, RainedOut
from hushwalk.text import counted
from hushwalk.wording.formats import percent
from hushwalk.wording.measures import route
from hushwalk.wording.wish_words import way_back_words

ALIKE = 0.05  # judgement: males are told to one place


def campaign_words(campaign: Campaign) -> str:
    """Give the summary of a campaign as text."""
    many = len({day.day for day in campaign.days})
    walks = "" if len(campaign.days) == many else f", {counted(len(campaign.days), 'walk')}"
    lines = [f"{campaign.title}, {counted(many, 'day')} planned together{walks}", ""]
    lines += [f"  {day_words(day)}" for day in campaign.days]
    return "\n".join([*lines, "", *(f"  {line}" for line in campaign_sentences(campaign))])


def outing_words(day: PlannedDay) -> str:
    """Name a walk by its day, and by its hours and its walker where that is needed."""
    return ", ".join(
        [f"{day.day:%a %d %b}", *(["evening"] if day.evening else []), *([day.person] if day.person else [])]
    )


def day_words(day: PlannedDay) -> str:
    """Say in one line what a walk is."""
    report = day.report
    stops = counted(len(report.stops), "stop")
    twice = "" if day.walked_twice is None else f"{way_back_words(day.walked_twice)}; "
    before = "walk" if day.person or day.evening else "day"
    return (
        f"{outing_words(day)}  {report.depart:%H:%M} to {report.back_at_latest:%H:%M}, {stops}, "
        f"{route(report.length_m)}, {report.males.expected:.1f} males, {day.new_males:.1f} of them on no {before} "
        f"before; {twice}car at {report.car.usng}"
    )


def campaign_sentences(campaign: Campaign) -> tuple[str, ...]:
    """Say what the days give together, how good that is, and what a lost day costs."""
    walks = len({day.day for day in campaign.days}) < len(campaign.days)
    whole, drawn = ("walks", "day") if walks else ("days", "morning")
    return (
        (
            f"Together the {whole} hear {campaign.males:.1f} different males, each counted once; whether a male "
            f"displays is drawn anew each {drawn}."
        ),
        *_repeated(campaign),
        *_bound(campaign),
        *(_rained_out(campaign, one) for one in campaign.rained_out),
        (
            "After each morning note what was heard and plan the days that are left again: birds that are known, and "
            "ground without birds, change them."
        ),
    )


def _repeated(campaign: Campaign) -> tuple[str, ...]:
    if campaign.repeated is None:
        return ()
    return (f"The best single walk on every day would hear {campaign.repeated:.1f}.",)


def _bound(campaign: Campaign) -> tuple[str, ...]:
    if campaign.bound is None:
        return ("How good that is was not proven.",)
    gap = 1 - campaign.males / campaign.bound if campaign.bound > 0 else 0.0
    return (
        (
            f"No plans of these days with stops at the places considered hear more than {campaign.bound:.1f}: within "
            f"{percent(max(gap, 0.0))} of the best possible."
        ),
    )


def _rained_out(campaign: Campaign, lost: RainedOut) -> str:
    fewer = campaign.males - lost.males_kept
    hours = ", evening" if lost.evening else ""
    words = f"Without {lost.day:%A} {lost.day.day} {lost.day:%B}{hours}: {lost.males_kept:.1f} males, {fewer:.1f} fewer"
    if lost.males_anew is None:
        return f"{words}; no day comes after it."
    if lost.males_anew - lost.males_kept < ALIKE:
        return f"{words}; keep the plans of the days after it."
    return f"{words}; {lost.males_anew:.1f} if you plan the days after it again."
