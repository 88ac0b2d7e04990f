"""A planned morning in sentences: the verdict, what speaks against it, what listening rests on, how good the plan is.

The facts are the report's; the plan in a dozen lines is plan_words.py's.
"""

import math
from collections import Counter
from collections.abc import Sequence

from hushwalk.hearing.morning_verdict import Hindrance, Verdict
from hushwalk.hearing.spacing import SpacingAdvice
from hushwalk.morning.plain_walk import PlainWalkKind
from hushwalk.morning.report import (
    DisplayChance,
    EvidenceLevel,
    ListeningOutlook,
    Noise,
    PlainWalk,
    Proof,
    Report,
    Stop,
)
from hushwalk.wording.evening_words import evening_sentences
from hushwalk.wording.forecast_words import forecast_sentences
from hushwalk.wording.formats import percent
from hushwalk.wording.measures import distance, spans, speed
from hushwalk.wording.passage_words import passage_sentences
from hushwalk.wording.range_words import region_sentences
from hushwalk.wording.share_words import LEFT_OUT, shared_words
from hushwalk.wording.warning_words import not_stood_words, warning_sentence

HINDRANCES = {
    Hindrance.WIND: "wind of {wind} at the ear",
    Hindrance.SNOW: "deep {air.snow} snow",
    Hindrance.AIR: "{air.air} air",
    Hindrance.RAIN: "{rain} rain",
    Hindrance.STILL: "birds that keep still in the wind",
    Hindrance.SNOW_ON_LOGS: "snow on the logs",
    Hindrance.NEXT_TO_NOTHING: "hardly any wind, rain or snow",
    Hindrance.NONE: "calm, dry and no deep snow",
}
AS_IT_COMES = "another way back is not sought on a walk under way: the rest is the walk that hears most"
HEARD_DB = 3.0  # judgement: a smaller difference of two noises is hardly noticed
FOLLOWED_FROM = 0.5  # judgement: a part of the gap that is worth a word [%]
PLAIN_WALKS = {
    PlainWalkKind.NONE_FITS: "no plain walk of even one stop fits into the time",
    PlainWalkKind.ANOTHER_START: "none is compared, for you start elsewhere than at the car",
    PlainWalkKind.UNDER_WAY: "the walk is under way, a plain walk is no longer to be had",
    PlainWalkKind.WITHHELD: LEFT_OUT,
}
WAIT_FROM_MIN = 1.0
"""Definition: waits are given in whole minutes."""


def verdict_sentence(verdict: Verdict, *, evening: bool = False) -> str:
    """Give the verdict of the weather on a morning, or on an evening against such a morning."""
    stay = "Stay at home" if evening else "Stay in bed"
    reason, share = hindrance_words(verdict), 100 * verdict.share_of_calm
    if verdict.word == "go":
        return f"The weather is good: {reason}, {share:.0f} % of a calm morning is left."
    if verdict.word == "go, but":
        return f"The weather takes a part: {reason} leaves {share:.0f} % of a calm morning."
    return f"{stay}: {reason} leaves {share:.0f} % of a calm morning."


def hindrance_words(verdict: Verdict) -> str:
    """Say what takes most of a morning."""
    return HINDRANCES[verdict.hindrance].format(
        air=verdict.conditions, rain=verdict.rain, wind=speed(verdict.conditions.wind_at_ear_ms)
    )


def notice_sentences(report: Report) -> tuple[str, ...]:
    """Give what should be known of a plan: what speaks against it, the verdict, what the layers lack."""
    if report.shared_grid_m is not None:
        return shared_words(report.shared_grid_m)
    verdict = () if report.verdict is None else (verdict_sentence(report.verdict, evening=report.evening is not None),)
    not_stood = map(not_stood_words, report.not_stood)
    way_back = (AS_IT_COMES,) if _back_as_it_comes(report) else ()
    said = (*not_stood, *way_back, *map(warning_sentence, report.warnings), *verdict)
    said = (*said, *forecast_sentences(report.settings))
    return (*said, *_traffic_sentence(report), *report.notices)


def _back_as_it_comes(report: Report) -> bool:
    return report.plain.kind is PlainWalkKind.UNDER_WAY and report.settings.wishes.other_way_back


def assumption_sentences(report: Report) -> tuple[str, ...]:
    """Give what a plan takes for granted: how the ground is passed, the region and the year, and all the rest."""
    return (*ground_sentences(report), *report.assumptions)


def ground_sentences(report: Report) -> tuple[str, ...]:
    """Give how the ground is passed, the region and the year: what a walker on the spot can see to be otherwise."""
    regional = region_sentences(report.region, report.settings.ground.cycle, report.settings.derived_zone)
    return (*passage_sentences(report.passage), *regional, *evening_sentences(report.evening))


def _traffic_sentence(report: Report) -> tuple[str, ...]:
    """Say how much of the earshot traffic takes; nothing where no stop hears any."""
    takes = [stop.noise.traffic_takes for stop in report.stops if stop.noise and stop.noise.traffic_dba is not None]
    if not takes:
        return ()
    least, most = 100 * min(takes), 100 * max(takes)
    share = f"{most:.0f} %" if most - least < 1 else f"{least:.0f} to {most:.0f} %"
    lose = "loses" if len(takes) == 1 else "lose"
    return (f"{len(takes)} of {len(report.stops)} stops {lose} {share} of the earshot to traffic",)


def listening_sentences(outlook: ListeningOutlook | None) -> tuple[str, ...]:
    """Say what the listening rests on: availability in its three parts, evidence, spacing."""
    if outlook is None:
        return ()
    chance = () if outlook.display is None else (display_sentence(outlook.display),)
    return (*chance, evidence_sentence(outlook.levels), spacing_sentence(outlook.spacing))


def evidence_sentence(levels: Sequence[EvidenceLevel]) -> str:
    """Say how far one hears by each level of evidence, and how much each counts in the plan."""
    far = "on level ground in leafless hardwood one display is heard half of the time at"
    said = "; ".join(
        f"{distance(level.earshot_m)} by {level.evidence} evidence, which counts {percent(level.weight)}"
        for level in levels
    )
    return f"Planned for several earshots: {far} {said}."


def display_sentence(chance: DisplayChance) -> str:
    """Say how likely there is something to hear, in its three parts."""
    hours = "evening" if chance.evening else "morning"
    return (
        f"The chance that a male displays at all this {hours} is {100 * chance.participation:.0f} %; the hours are "
        f"{100 * chance.hour_factor:.0f} % as good as the best; the chance of at least one display in the minutes "
        f"at a stop is {100 * chance.cue:.0f} %: together {100 * chance.together:.0f} %."
    )


def spacing_sentence(advice: SpacingAdvice) -> str:
    """Say how far apart to stop."""
    return (
        f"Stops {distance(advice.spacing_m)} apart hear most males an hour here; from "
        f"{spans(advice.low_m, advice.high_m)} it makes next to no difference, and the shorter ones "
        "give more crossing bearings."
    )


def noise_words(noise: Noise | None) -> str:
    """Say what there is to listen over."""
    if noise is None:
        return LEFT_OUT
    parts = [] if noise.wind_ms is None else [f"wind {speed(noise.wind_ms)} at the ear"]
    if noise.water_dba is not None:
        parts.append(f"running water, about {noise.water_dba:.0f} dB(A)")
    if noise.traffic_dba is not None:
        parts.append(
            f"traffic, up to {noise.traffic_dba:.0f} dB(A): {100 * noise.traffic_takes:.0f} % of the earshot is lost"
        )
    return " and ".join(parts) or "nothing but the wood itself"


def usual_noise(noises: Sequence[Noise | None]) -> tuple[str, tuple[str, ...]]:
    """Say what there is to listen over at most stops, and at each stop only what is more or other.

    Returns
    -------
    tuple of str and tuple of str
        The words for most stops, and one text a stop, empty where it is as at most.
    """
    said = [noise_words(noise) for noise in noises]
    sorts = [_sort_of(noise) for noise in noises]
    usual = Counter(sorts).most_common(1)[0][0] if sorts else None
    alike = sorted((_water(noise), k) for k, noise in enumerate(noises) if sorts[k] == usual)
    if not alike:
        return "", ()
    level, middle = alike[len(alike) // 2]
    louder = [sort != usual or _water(noise) - level >= HEARD_DB for sort, noise in zip(sorts, noises, strict=True)]
    return said[middle], tuple(words if other else "" for words, other in zip(said, louder, strict=True))


def _sort_of(noise: Noise | None) -> tuple[object, ...]:
    """Give which noises there are, whatever their level; traffic takes earshot, so that its share counts."""
    if noise is None:
        return ()
    return noise.wind_ms, noise.water_dba is None, noise.traffic_dba, noise.traffic_takes


def _water(noise: Noise | None) -> float:
    return 0.0 if noise is None or noise.water_dba is None else noise.water_dba


def reason_words(stop: Stop) -> tuple[str, ...]:
    """Say why one stops there, one reason each."""
    why = stop.reasons
    if why is None:
        return ()
    lines = [
        f"{why.heard:.2f} males expected in {why.minutes:.0f} minutes here, {why.new:.2f} of them not heard before"
    ]
    if why.good_cover:
        lines.append(f"good cover in earshot: {why.good_cover}")
    if why.by_trail:
        heard = stop.noise is not None and stop.noise.traffic_dba is not None
        quiet = "the way is quick" if heard else "the steps are quiet and the way is quick"
        lines.append(f"on or beside a trail or road, so {quiet}")
    if stop.wait_minutes >= WAIT_FROM_MIN:
        lines.append(f"wait {stop.wait_minutes:.0f} minutes before listening: a better hour is worth it")
    if stop.until_light_minutes > 0:
        lines.append(f"stay {stop.until_light_minutes:.0f} minutes longer, until it is light enough to leave the trail")
    return tuple(lines)


def plain_walk_words(plain: PlainWalk) -> str:
    """Say which plain walk a plan is compared with, or why there is none."""
    if plain.kind in PLAIN_WALKS:
        return PLAIN_WALKS[plain.kind]
    how = "by trail and road" if plain.kind is PlainWalkKind.BY_TRAIL else "straight"
    return f"out and back {how} to the {plain.towards}, {plain.dwell_min:.0f} min every {distance(plain.spacing_m)}"


def plain_walk_sentence(plain: PlainWalk) -> str:
    """Give the comparison; without a stop there is nothing to count."""
    words = plain_walk_words(plain)
    return f"{words}, {plain.males_expected:.1f} males expected" if plain.stops else words


def proof_words(proof: Proof) -> str:
    """Say what is proven of a plan; the share is rounded up."""
    if proof.withheld:
        return LEFT_OUT
    if not proof.made:
        return "no proof was asked for"
    if proof.best:
        return "proven best for the places considered as stops"
    percent = max(proof.gap * 100, 0.01)
    digits = 1 - math.floor(math.log10(percent))
    shown = math.ceil(percent * 10**digits - 1e-6) / 10**digits
    words = f"within {shown:.3g} % of the best possible for the places considered as stops"
    if proof.of_bouts * 100 < FOLLOWED_FROM:
        return words
    return f"{words}, {proof.of_bouts * 100:.0f} % of it because the bound does not follow bouts and pauses"
