"""What can be done tomorrow, as one list that a tired person reads in the evening.

The choices are morning/tomorrow.py's.
"""

from hushwalk.morning.tomorrow import Choice, ChoiceKind, Tomorrow
from hushwalk.text import typed
from hushwalk.wording.unread_words import unread_words

NAMED_MOST = 5  # judgement: the best five of a kind are choice enough; --json has all


def tomorrow_words(tomorrow: Tomorrow) -> str:
    """Give the list: at dawn the likeliest of each kind first, late in the morning in walking order."""
    displays = f"Every chance holds that a male displays at all that morning, {tomorrow.participation:.0%}."
    lines = [
        f"{tomorrow.title}, what to do on {tomorrow.day:%A %d %B %Y}",
        "  at dawn, one of these; minutes from the car and back",
        *(f"    {line}" for activity in ChoiceKind for line in _of_kind(tomorrow, activity)),
        *([] if tomorrow.dawn else ["    nothing can be reached in time"]),
        "  late in the morning, after any of them, in walking order; the lines are drawn by",
        f"    {_command(tomorrow, 'search', '--on')}",
        *(f"    {line}" for one in tomorrow.late for line in choice_lines(one)),
        *([] if tomorrow.late else ["    no ground is left to search"]),
        *(f"  {line}" for line in _evening(tomorrow)),
        *(f"  {line}" for line in _best(tomorrow)),
        f"  {displays} These are places of birds: keep them to yourself.",
        *(f"  note: {notice}" for notice in unread_words(tomorrow.unread)),
    ]
    return "\n".join(lines)


def _of_kind(tomorrow: Tomorrow, activity: ChoiceKind) -> list[str]:
    """Name the likeliest choices of one kind; the others are counted."""
    own = [one for one in tomorrow.dawn if one.activity is activity]
    lines = [line for one in own[:NAMED_MOST] for line in choice_lines(one)]
    if len(own) > NAMED_MOST:
        chance = f"{own[NAMED_MOST].chance:.0%} and less"
        lines.append(f"{'':14}and {len(own) - NAMED_MOST} more to {activity.value}, with {chance}")
    return lines


def choice_lines(choice: Choice) -> tuple[str, ...]:
    """Say one choice: chance, minutes and what; below it where and when."""
    head = f"{choice.chance:4.0%} {choice.minutes:4.0f} min  {_what(choice)}"
    when = f"{choice.begin:%H:%M} to {choice.end:%H:%M}" if choice.begin and choice.end else ""
    place = choice.place
    where = "" if place is None else f"{place.lat_deg:.5f}, {place.lon_deg:.5f}  {place.usng}"
    below = ", ".join(part for part in (when, where) if part)
    return (head, *((f"{'':14}{below}",) if below else ()))


def _what(choice: Choice) -> str:
    if choice.activity is ChoiceKind.CLOSE_IN:
        return f"close in on {choice.subject}: he is reached in one try"
    if choice.activity is ChoiceKind.FILM:
        return f"film at {choice.subject}: he displays while you sit there"
    if choice.activity is ChoiceKind.LISTEN:
        log = "" if choice.log_chance is None else f"; a log is found that day with {choice.log_chance:.0%}"
        return f"listen in the {choice.subject}: a male is heard, {choice.males or 0:.1f} to learn of on average{log}"
    return f"search for the log of {choice.subject}: it is found"


def _evening(tomorrow: Tomorrow) -> tuple[str, ...]:
    """Offer the evening, with what it gives and how to plan it; nothing where it is not worth going for."""
    if tomorrow.evening is None:
        return ()
    return (
        "in the evening, as well or instead; it is planned by",
        f"  {_command(tomorrow, 'plan', '--evening', '--day')}",
        *(f"  {line}" for line in choice_lines(tomorrow.evening)),
        f"{'':16}males display less then; by how much is a judgement, which the plan states",
    )


def _command(tomorrow: Tomorrow, name: str, *options: str) -> str:
    """Give the command that does something on the day of the list, to be typed as it stands."""
    trip, notes, layers = tomorrow.files
    words: list[object] = ["hushwalk", name, trip, *options, tomorrow.day]
    words += [] if notes is None else ["--notes", notes]
    return typed(words if layers is None else [*words, "--layers", layers])


def _best(tomorrow: Tomorrow) -> tuple[str, ...]:
    if not tomorrow.dawn or not tomorrow.late:
        return ()
    first, missed = tomorrow.dawn[0], 1.0
    for one in tomorrow.late:
        missed *= 1 - one.chance
    late = f"then the search, which finds at least one log with {1 - missed:.0%}, until {tomorrow.late[-1].end:%H:%M}"
    return (f"a day of it: {_what(first).partition(':')[0]} ({first.chance:.0%}), {late}",)
