"""Closing in on birds in words: how the morning is worked, until when a try may begin, which way one goes in.

The facts are morning/closing_in.py's; how a bearing is read and how one behaves stands in card_of_bearings.py.
"""

from datetime import datetime

from hushwalk.morning.closing_in import (
    ClosingIn,
    LikelyGround,
    SideStand,
    StopClosing,
    TryTimes,
    UnheardWalk,
    WayIn,
    WaySide,
)
from hushwalk.morning.way_of_working import Way, WayOfWorking, WhyWay
from hushwalk.notes.figures import figure
from hushwalk.text import counted
from hushwalk.wording.day_words import compared_words
from hushwalk.wording.formats import bearing, clock, compass_point, sentence
from hushwalk.wording.measures import distance

WHY = {
    WhyWay.CHOSEN: "as the trip file says",
    WhyWay.PAYS: (
        "assumed, since half of the displays are heard at {earshot} ({earshot_min} or more) and "
        "{males:.1f} males are expected ({males_min:.0f} or more)"
    ),
    WhyWay.POOR_EARSHOT: (
        "assumed, since half of the displays are heard at {earshot} only, and closing in pays from {earshot_min} on"
    ),
    WhyWay.FEW_MALES: "assumed, since {males:.1f} males are expected, and closing in pays from {males_min:.0f} on",
    WhyWay.MOST_LOGS: "played on the same days, no other number of minutes finds clearly more logs",
    WhyWay.EVENING: "after an evening no light is left to search for the log",
    WhyWay.KEPT_OFF: "the card of this bird keeps farther off its display ground than a try would end",
    WhyWay.WINS_LITTLE: "played on the same days, closing in finds hardly more",
    WhyWay.SHORT_MORNING: "assumed, since the morning leaves no time for a try of {try_min:.0f} minutes",
}
SIDES = {WaySide.LEFT: "left", WaySide.RIGHT: "right"}


def way_words(working: WayOfWorking) -> str:
    """Say how a morning is worked and why."""
    why = WHY[working.why].format(
        earshot=distance(working.earshot_m),
        males=working.males,
        earshot_min=distance(figure("closing_in", "earshot_min_m")),
        males_min=figure("closing_in", "males_min"),
        try_min=figure("closing_in", "try_min"),
    )
    if working.way is Way.CROSS:
        return f"listen and cross bearings, no time is kept for closing in; {why}"
    return f"listen and close in, {working.kept_free_s / 60:.0f} min are kept free for it; {why}"


def way_rule(earshot_m: float, kept_off_m: float | None = None) -> str:
    """Say by which rule a way of working will be chosen, before the males that a plan hears are known.

    Parameters
    ----------
    earshot_m : at which half of the displays are heard [m].
    kept_off_m : how far the card of the bird keeps off, where that is farther than the stops do [m].
    """
    if kept_off_m is not None:
        keep = f"one keeps {distance(kept_off_m)} off the display ground of this bird"
        return f"way of working: listen and cross, since {keep}"
    low_m, males = figure("closing_in", "earshot_min_m"), figure("closing_in", "males_min")
    here = f"half of the displays are heard at {distance(earshot_m)}"
    if earshot_m < low_m:
        return (
            f"way of working: as a rule listen and cross, since {here}, and closing in pays from {distance(low_m)} on; "
            "the plan plays days to choose"
        )
    minutes = figure("closing_in", "minutes")
    return (
        f"way of working: as a rule listen and close in with {minutes:.0f} minutes kept free, since {here} "
        f"({distance(low_m)} or more), if the plan hears {males:.0f} males or more; else listen and cross; the plan "
        "plays days to choose"
    )


def closing_summary(closing: ClosingIn | None, *, times_apart: bool = False, compared: bool = True) -> tuple[str, ...]:
    """Say in a few lines what is kept free, until when a try may begin at each stop, and what to do with it unused.

    Parameters
    ----------
    closing : of the morning, or None.
    times_apart : whether the times at the stops are given elsewhere.
    compared : whether to say what other numbers of minutes would give.

    Returns
    -------
    tuple of str
        Sentences; none where closing in is not spoken of.
    """
    if closing is None:
        return ()
    lines = [sentence(way_words(closing.working)), *(compared_words(closing.working) if compared else ())]
    if closing.working.way is Way.CROSS:
        return tuple(lines)
    times = ", ".join(
        f"{one.stop} {latest_words(one.times)}" for one in closing.stops if one.times and one.times.latest
    )
    if times and not times_apart:
        usual, longest = figure("closing_in", "try_min"), figure("closing_in", "long_try_min")
        lines.append(
            f"Latest begin of a try of {usual:.0f} min with all later stops still to come: {times}; "
            f"{longest - usual:.0f} min earlier for one of {longest:.0f} min."
        )
    lines.append(
        f"Better before {clock(closing.better_before)}: later on males display less and a try reaches fewer of them, "
        "but while there is time for it, it still finds more logs than none."
    )
    if closing.unheard is not None:
        lines.append(unheard_sentence(closing.unheard, closing.working.kept_free_s / 60))
    return tuple(lines)


def unheard_sentence(unheard: UnheardWalk, kept_min: float) -> str:
    """Say how to walk on where nothing was heard."""
    head = f"Nothing heard: the {kept_min:.0f} min kept for closing in are unused"
    if not unheard.stops:
        return f"{head}, but no further stop fits; walk back as planned or listen longer."
    stops = ", ".join(f"{stop.place.name} {clock(stop.arrive)}-{clock(stop.leave)}" for stop in unheard.stops)
    return (
        f"{head}, walk on from {unheard.after}: {stops}; that is {unheard.males:.1f} males more, "
        f"back {clock(unheard.back)}."
    )


def try_words(times: TryTimes | None, better_before: datetime) -> str:
    """Say until when a try may begin at a stop, and when to be back at it; empty where nothing is kept free."""
    if times is None:
        return ""
    if times.latest is None:
        return "no time for it with all later stops"
    parts = [f"until {clock(times.latest)}, back here by {clock(times.walk_on_by)}"]
    if times.latest > better_before:
        parts.append(f"better before {clock(better_before)}")
    return "; ".join(parts)


def latest_words(times: TryTimes | None) -> str:
    """Give the latest begin of a try alone; a dash where there is none."""
    return clock(None if times is None else times.latest)


def latest_note(closing: ClosingIn) -> str:
    """Say what stands in a column of the latest begins of a try; empty where nothing is kept free."""
    if closing.working.way is Way.CROSS:
        return ""
    usual, longest = figure("closing_in", "try_min"), figure("closing_in", "long_try_min")
    return (
        f"Close in until: a try of {usual:.0f} min may begin till then with all later stops still to come "
        f"({longest:.0f} min: {longest - usual:.0f} min earlier). Better before {clock(closing.better_before)}: later "
        "on males display less and a try reaches fewer of them."
    )


def first_light_words(times: TryTimes | None, leave: datetime) -> str:
    """Say that one waits for light before leaving the trail; empty where it is light by then."""
    if times is None or times.earliest <= leave:
        return ""
    return f"not before {clock(times.earliest)}: dark"


def without_words(times: TryTimes | None, most: int | None = None) -> str:
    """Name later stops in the order of leaving them out, each with the latest begin then; empty where there is none.

    Parameters
    ----------
    times : of a stop, or None.
    most : how many are named; all if not given.
    """
    if times is None or not times.without:
        return ""
    named = [f"{one.stop} {clock(one.latest)}" if one.latest else one.stop for one in times.without[:most]]
    return ", ".join(named) + (" ..." if len(named) < len(times.without) else "")


def ground_words(ground: LikelyGround) -> str:
    """Say where likely ground lies, which way leads in quietly, and from where a second bearing crosses."""
    here = f"{_direction(ground.towards_deg, ground.towards_magnetic_deg)}, {distance(ground.distance_m)}"
    parts = [] if ground.way_in is None else [way_in_words(ground.way_in)]
    if ground.crossed_from is not None:
        parts.append(f"{ground.crossed_from} crosses it")
    elif ground.side_stand is not None:
        parts.append(side_stand_words(ground.side_stand))
    return f"{here}: {'; '.join(parts)}" if parts else f"{here}: no quiet way in"


def way_in_words(way: WayIn) -> str:
    """Say how one goes in."""
    wade = f", wade {counted(way.fords, 'stream')}" if way.fords else ""
    return (
        f"in by the {SIDES[way.side]}, set off {bearing(way.set_off_magnetic_deg)}, {distance(way.length_m)}, "
        f"{way.minutes:.0f} min{wade}, stop at {way.end.usng}, face {bearing(way.face_magnetic_deg)}"
    )


def side_stand_words(stand: SideStand) -> str:
    """Say where to stand for a bearing from the side."""
    return (
        f"side stand {bearing(stand.go_magnetic_deg)}, {distance(stand.length_m)}, {stand.minutes:.0f} min, "
        f"at {stand.place.usng}, face {bearing(stand.face_magnetic_deg)}"
    )


def stop_closing_lines(closing: ClosingIn | None, stop: str, leave: datetime) -> tuple[tuple[str, str], ...]:
    """Give all that is said about closing in from one stop, as label and words.

    Parameters
    ----------
    closing : of the morning, or None.
    stop : its name.
    leave : when one walks on by plan.

    Returns
    -------
    tuple of (str, str)
    """
    found = closing_at(closing, stop)
    if closing is None or found is None:
        return ()
    lines = [
        ("close in", try_words(found.times, closing.better_before)),
        ("first light", first_light_words(found.times, leave)),
        ("later, leaving out in this order", without_words(found.times)),
        *((f"likely ground {number}", ground_words(one)) for number, one in enumerate(found.grounds, start=1)),
    ]
    return tuple((what, words) for what, words in lines if words)


def closing_at(closing: ClosingIn | None, stop: str) -> StopClosing | None:
    """What closing in asks at the stop of a name; None where there is nothing."""
    return next((one for one in closing.stops if one.stop == stop), None) if closing else None


def _direction(true_deg: float, magnetic_deg: float) -> str:
    return f"{compass_point(true_deg)} {bearing(magnetic_deg)}"
