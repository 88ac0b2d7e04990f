"""The season in words: what was walked and heard, how good the prediction was, where to go again, which log to film.

How the figures come about is season/story.py's business.
"""

from collections.abc import Sequence

from hushwalk.birds.bird_report import ScoredLog, SeasonMale
from hushwalk.birds.season_birds import SeasonBirds
from hushwalk.birds.season_numbers import NumberChange
from hushwalk.season.season import Calibration, PatchBelief, PatchVerdict, SeasonSum
from hushwalk.season.season_map import ListenedStop, SeasonMap
from hushwalk.season.story import Season
from hushwalk.text import counted
from hushwalk.wording.log_words import log_reasons
from hushwalk.wording.measures import per_area, small_area
from hushwalk.wording.unread_words import unread_words

VERDICTS = {PatchVerdict.REVISIT: "go again", PatchVerdict.KEEP: "keep", PatchVerdict.DROP: "drop"}
SAME_AIR = "air and wind of the trip file are taken for every morning; notes do not change them"


def season_words(season: Season) -> str:
    """Give the season in words."""
    lines = [f"{season.title}: {sum_sentence(season.total)}", ""]
    lines += [
        f"  {day}  {counted(stops, 'stop')}, {heard} with a bird, {counted(birds, 'bird')} named, "
        f"{counted(logs, 'log')}"
        for day, stops, heard, birds, logs in season.total.by_morning
    ]
    if season.birds is not None and season.males:
        lines += ["", *male_lines(season.males, season.birds)]
    if season.calibration is not None:
        chance = season.calibration.surprise
        lines += ["", f"predicted and heard: {calibration_sentence(season.calibration)}"]
        lines.append(f"  a count as far out has a chance of {chance:.0%} if the model is right")
    if season.beliefs:
        lines += ["", "patches that were listened to (true density over the model's, 90 % interval)"]
        lines += [_patch(season, belief) for belief in season.beliefs]
    lines += ["", *_logs(season.logs), *(f"  note: {text}" for text in (SAME_AIR, *unread_words(season.unread)))]
    return "\n".join(lines)


def male_lines(males: Sequence[SeasonMale], birds: SeasonBirds) -> list[str]:
    """Say which males there are in the season, and which numbers merged or split."""
    low, best, high = birds.males
    lines = [f"males, by place: {best}, between {low} and {high} (90 %)"]
    for male in males:
        middle = f"{male.middle.lat_deg:.5f}, {male.middle.lon_deg:.5f}  {male.middle.usng}"
        lines.append(f"  male {male.number}: {male_words(male)}")
        lines.append(f"      main log within {small_area(male.area_ha)} (80 %), middle {middle}")
    return [*lines, *(f"  {change.day:%d %B}: {change_words(change)}" for change in birds.changes)]


def stop_heard_words(stop: ListenedStop) -> str:
    """Say how long one listened at a stop, and whether a bird was heard."""
    minutes = "some minutes" if stop.minutes is None else f"{stop.minutes:.0f} min"
    return f"{minutes}, {'a bird heard' if stop.heard else 'nothing heard'}"


def unheard_sentence(chart: SeasonMap) -> str:
    """Say how many males are still to be heard on the ground of the trip."""
    model = f"By the model alone the ground of the trip holds {chart.males_model:.1f} displaying males"
    if not chart.days:
        return f"{model}; nobody has listened there yet."
    return (
        f"{model}; {chart.males_unheard:.1f} of them would not have been heard so far. "
        "The hatched ground is the smallest that holds half of those."
    )


def male_words(male: SeasonMale) -> str:
    """Say on which mornings a male was heard, and which logs are his."""
    heard = ", ".join(f"{day:%d %B} as {name}" for day, name in male.mornings)
    parts = [f"heard on {heard}" if heard else "not heard"]
    if male.logs:
        parts.append(f"{'log' if len(male.logs) == 1 else 'logs'} {', '.join(male.logs)}")
    if len(male.mornings) + len(male.logs) > 1:
        parts.append(f"all of one male with chance {male.one_bird:.0%}")
    return "; ".join(parts)


def change_words(change: NumberChange) -> str:
    """Say which numbers merged, or which was split."""
    old, new = (" and ".join(str(n) for n in numbers) for numbers in (change.numbers, change.into))
    if len(change.into) == 1:
        return f"males {old} are one male, number {new}"
    return f"male {old} is {len(change.into)} males, numbers {new}"


def _patch(season: Season, belief: PatchBelief) -> str:
    place = season.places.get(belief.patch)
    where = f", round E {place[0]:.0f} N {place[1]:.0f}" if place else ""
    density = f", males {per_area(belief.density_per_km2[0])}" if belief.density_per_km2 else ""
    return (
        f"  {belief.patch:10} {belief.heard} heard, {belief.expected:.1f} expected: {belief.factor:.2f} "
        f"({belief.low:.2f} to {belief.high:.2f}){density}; {VERDICTS[belief.verdict]}: {belief_reason(belief)}{where}"
    )


def _logs(logs: tuple[ScoredLog, ...]) -> list[str]:
    if not logs:
        return ["no log was noted yet"]
    lines = [f"logs, by male ({counted(len({log.territory for log in logs}), 'male')})"]
    for log in logs:
        lines += [
            f"  male {log.territory}: {log.name}, {log.role.value}; in use {log.use:.0%}, film set {log.film:.0%}",
            f"      {log.place.lat_deg:.5f}, {log.place.lon_deg:.5f}  {log.place.usng}",
            f"      {'; '.join(log_reasons(log))}",
        ]
    return [*lines, "  Keep these places to yourself."]


def sum_sentence(total: SeasonSum) -> str:
    """Say in one sentence what a season came to."""
    return (
        f"{counted(total.mornings, 'morning')}, {counted(total.stops, 'stop')} of which {total.stops_heard} heard "
        f"a bird, {counted(round(total.minutes), 'minute')} listened, {counted(total.bearings, 'bearing')}, "
        f"{counted(total.birds, 'bird')} by name and morning, {counted(total.logs, 'log')} of which "
        f"{total.logs_in_use} in use, {counted(total.disturbances, 'disturbance')} noted"
    )


def calibration_sentence(result: Calibration) -> str:
    """Say in one sentence how the prediction did."""
    low, high = result.low, result.high
    way = "as predicted" if low <= 1 <= high else "fewer than predicted" if high < 1 else "more than predicted"
    return (
        f"{counted(result.heard, 'male')} heard, {result.expected:.1f} predicted: {way} "
        f"(ratio {result.ratio:.2f}, {low:.2f} to {high:.2f})"
    )


def belief_reason(belief: PatchBelief) -> str:
    """Say why a patch is kept, dropped or visited again."""
    return {
        PatchVerdict.DROP: f"holds less than half of what the model says with chance {belief.poor_chance:.0%}",
        PatchVerdict.REVISIT: f"holds more than the model says with chance {belief.good_chance:.0%}",
        PatchVerdict.KEEP: "what was heard does not yet speak against the model",
    }[belief.verdict]
