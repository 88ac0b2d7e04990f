"""The season in words: what was walked and heard, how good the prediction was, where to go again, which log to film.

How the figures come about is season_here.py's business.
"""

from hushwalk.birds.bird_report import ScoredLog
from hushwalk.notes.vocabulary import counted
from hushwalk.season.season import PatchBelief
from hushwalk.season.story import Season
from hushwalk.wording.log_words import log_reasons

VERDICTS = {"revisit": "go again", "keep": "keep", "drop": "drop"}


def season_words(season: Season) -> str:
    """Tell the season."""
    lines = [f"{season.title}: {season.total.sentence()}", ""]
    lines += [
        f"  {day}  {counted(stops, 'stop')}, {heard} with a bird, {counted(birds, 'bird')} named, "
        f"{counted(logs, 'log')}"
        for day, stops, heard, birds, logs in season.total.by_morning
    ]
    if season.calibration is not None:
        chance = season.calibration.surprise
        lines += ["", f"predicted and heard: {season.calibration.sentence}"]
        lines.append(f"  a count as far out has a chance of {chance:.0%} if the model is right")
    if season.beliefs:
        lines += ["", "patches that were listened to (true density over the model's, 90 % interval)"]
        lines += [_patch(season, belief) for belief in season.beliefs]
    lines += ["", *_logs(season.logs), *(f"  note: {notice}" for notice in season.notices)]
    return "\n".join(lines)


def _patch(season: Season, belief: PatchBelief) -> str:
    place = season.places.get(belief.patch)
    where = f", round E {place[0]:.0f} N {place[1]:.0f}" if place else ""
    density = f", {belief.density_per_km2[0]:.1f} males per km2" if belief.density_per_km2 else ""
    return (
        f"  {belief.patch:10} {belief.heard} heard, {belief.expected:.1f} expected: {belief.factor:.2f} "
        f"({belief.low:.2f} to {belief.high:.2f}){density}; {VERDICTS[belief.verdict]}: {belief.reason}{where}"
    )


def _logs(logs: tuple[ScoredLog, ...]) -> list[str]:
    if not logs:
        return ["no log was noted yet"]
    lines = [f"logs, by male ({counted(len({log.territory for log in logs}), 'male')})"]
    for log in logs:
        lines += [
            f"  male {log.territory}: {log.name}, {log.role}; in use {log.use:.0%}, film set {log.film:.0%}",
            f"      {log.place.lat_deg:.5f}, {log.place.lon_deg:.5f}  {log.place.usng}",
            f"      {'; '.join(log_reasons(log))}",
        ]
    return [*lines, "  Keep these places to yourself."]
