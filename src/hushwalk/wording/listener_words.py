"""What the ledger says of its listener, and which lines to put into the trip file.

birds/listener_fit.py learns it.
"""

from collections.abc import Sequence

from hushwalk.birds.bearing_fit import FEWEST_BEARINGS, BearingFit
from hushwalk.birds.fix import SHARES
from hushwalk.birds.listener_fit import FEWEST_MALES, WILD_SD_DEG, ListenerReport
from hushwalk.birds.rehearsal import ALONE, Rehearsal
from hushwalk.hearing.listener import EVIDENCE
from hushwalk.hearing.listener_offset import OffsetFit, refit
from hushwalk.text import counted
from hushwalk.wording.measures import distance, small_area


def listener_words(report: ListenerReport) -> str:
    """Say what was learnt, and which lines to put into the trip file."""
    stops, heard = report.stops
    known = f"Known by their logs: {report.males} males and mornings"
    bearings = counted(report.bearings, "bearing")
    lines = [f"{known}, heard at {heard} of {counted(stops, 'stop')} in reach; {bearings} to them."]
    put: list[str] = []
    walker = report.settings.walker
    if report.offset_says_enough:
        lines.append(f"{offset_sentence(report.offset)} Against the {report.evidence} evidence.")
        put.append(f"hearing_offset_db = {report.offset.offset_db:.1f}    # now {walker.hearing_offset_db:g}")
        if report.evidence_weights is not None:
            put.append("evidence_weights = [1.0, 0.0, 0.0]    # the offset says how far you hear")
    else:
        lines.append(
            f"Too little to say of your ears: between {report.offset.low_db:+.1f} and {report.offset.high_db:+.1f} dB "
            f"of the average, and without notes it is {refit(()).low_db:+.1f} to {refit(()).high_db:+.1f} dB. Stops "
            f"near known logs where he was not heard teach most; at least {FEWEST_MALES} males are needed."
        )
        if report.evidence_weights is not None and report.males >= FEWEST_MALES:
            lines.append(f"The notes weigh the levels of evidence: {_weight_words(report.evidence_weights)}.")
            put.append(f"evidence_weights = [{', '.join(f'{weight:.2f}' for weight in report.evidence_weights)}]")
    bearing = report.bearing
    if bearing is None:
        lines.append(
            f"Too little to say of your bearings: {report.bearings} lead to known logs, {FEWEST_BEARINGS} are needed."
        )
    elif bearing.sd_deg > WILD_SD_DEG:
        lines.append(
            f"{bearing_sentence(bearing)} No ear errs so much: look whether logs bear the names of the right birds, "
            "and whether readings were taken from the north that they are noted with."
        )
    else:
        lines += [bearing_sentence(bearing), *_bearing_lines(bearing)]
        put += [
            f"bearing_error_deg = {bearing.sd_deg:.1f}    # now {walker.bearing_error_deg:g}",
            f"bearing_bias_deg = {bearing.bias_deg:.1f}    # now {walker.bearing_bias_deg:g}",
            f"bearing_shared_deg = {bearing.shared.value:.1f}    # now {walker.bearing_shared_deg:g}",
            f"bearing_strays = {bearing.strays.value:.2f}    # now {walker.bearing_strays:g}",
        ]
    lines += [f"note: {words}" for words in _left_out(report)]
    if put:
        lines += ["", "Put into the trip file:", "", "[walker]", *put]
    return "\n".join(lines)


def _weight_words(weights: Sequence[float]) -> str:
    """Say how much each level of evidence counts."""
    return ", ".join(f"{evidence} {weight:.0%}" for evidence, weight in zip(EVIDENCE, weights, strict=True))


def _bearing_lines(fit: BearingFit) -> list[str]:
    """Say what else was learnt, and how far the ground to search depends on it."""
    bias, strays = fit.bias, fit.strays
    sure = bias.low > 0 or bias.high < 0
    side = "right (clockwise)" if bias.value > 0 else "left (counter-clockwise)"
    spread = f"95 % between {strays.low:.0%} and {strays.high:.0%}"
    lines = [f"{strays.value:.0%} of them point anywhere ({spread})."]
    lines.append(f"The mean error lies between {bias.low:+.0f} and {bias.high:+.0f} degrees; every fix takes it off.")
    if sure:
        lines.append(
            f"All your bearings lie {abs(bias.value):.0f} degrees too far {side} on the mean: look for iron near the "
            "compass, or a compass set to another declination."
        )
    lines.append(
        f"All bearings to one bird on one morning share an error of {fit.shared.value:.0f} degrees (95 % between "
        f"{fit.shared.low:.0f} and {fit.shared.high:.0f})."
    )
    middle, low, high = fit.example_ha
    lines.append(
        f"The ground depends on it: two bearings at {distance(150.0)} that cross at 75 degrees leave "
        f"{small_area(middle)} to search for 80 %, {small_area(low)} or {small_area(high)} at the ends of the interval."
    )
    return lines


def _left_out(report: ListenerReport) -> list[str]:
    unnamed, unheard = report.left_out.unnamed, report.left_out.unheard
    words = []
    if unnamed:
        words.append(f"without a bird's name, so that it tells nothing: {counted(unnamed, 'log')} in use")
    if unheard:
        pairs = ", ".join(f"{log} ({bird})" for log, bird in unheard)
        words.append(f"no bearing of their bird's name was taken before: {pairs}")
    if report.males_unused:
        words.append(
            f"{report.males_unused} of them tell nothing of the ear: off the ground, or heard from beyond reach only"
        )
    return words


def offset_sentence(offset: OffsetFit) -> str:
    """Say how a person hears against the average."""
    return (
        f"Your ears against the average: {offset.offset_db:+.1f} dB (95 % between {offset.low_db:+.1f} and "
        f"{offset.high_db:+.1f} dB) from {offset.n} records of known males."
    )


def bearing_sentence(fit: BearingFit) -> str:
    """Say how a person's bearings err."""
    return (
        f"Your bearings err by {fit.sd_deg:.0f} degrees (95 % between {fit.low_deg:.0f} and "
        f"{fit.high_deg:.0f}), {fit.bias_deg:+.0f} on the mean, from {fit.n} bearings to known males."
    )


def rehearsal_sentences(played: Rehearsal) -> tuple[str, ...]:
    """Say what came out of mornings played on made-up birds, one sentence each."""
    crossed = [bird for bird in played.birds if bird.bearings >= ALONE]
    head = f"{played.mornings} mornings played: {played.displayed} males displayed, {len(played.birds)} were heard, "
    lines = [head + f"{len(crossed)} from two stops or more"]
    for least, words in ((ALONE, "two bearings or more"), (1, "any number of bearings")):
        lines += [
            f"{words}: {share:.0%} ground is {small_area(played.median_area_ha(share, least_bearings=least))} in the "
            f"median and holds {played.hit_rate(share, least_bearings=least):.1%} of the birds"
            for share in SHARES
        ]
    return tuple(lines)
