"""What the ledger says of its listener, and which lines to put into the trip file.

birds/listener_fit.py learns it.
"""

from hushwalk.birds.bearing_fit import FEWEST_BEARINGS, BearingFit
from hushwalk.birds.listener_fit import FEWEST_MALES, WILD_SD_DEG, ListenerReport
from hushwalk.hearing.listener import refit
from hushwalk.notes.vocabulary import counted


def listener_words(report: ListenerReport) -> str:
    """Say what was learnt, and which lines to put into the trip file."""
    stops, heard = report.stops
    known = f"Known by their logs: {report.males} males and mornings"
    bearings = counted(report.bearings, "bearing")
    lines = [f"{known}, heard at {heard} of {counted(stops, 'stop')} in reach; {bearings} to them."]
    put: list[str] = []
    walker = report.settings.walker
    if report.offset_says_enough:
        lines.append(f"{report.offset.sentence} Against the {report.evidence} evidence.")
        put.append(f"hearing_offset_db = {report.offset.offset_db:.1f}    # now {walker.hearing_offset_db:g}")
    else:
        lines.append(
            f"Too little to say of your ears: between {report.offset.low_db:+.1f} and {report.offset.high_db:+.1f} dB "
            f"of the average, and without notes it is {refit(()).low_db:+.1f} to {refit(()).high_db:+.1f} dB. Stops "
            f"near known logs where he was not heard teach most; at least {FEWEST_MALES} males are needed."
        )
    bearing = report.bearing
    if bearing is None:
        lines.append(
            f"Too little to say of your bearings: {report.bearings} lead to known logs, {FEWEST_BEARINGS} are needed."
        )
    elif bearing.sd_deg > WILD_SD_DEG:
        lines.append(
            f"{bearing.sentence} No ear errs so much: look whether logs bear the names of the right birds, and whether "
            "readings were taken from the north that they are noted with."
        )
    else:
        lines += [bearing.sentence, *_bearing_lines(bearing)]
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
        f"The ground depends on it: two bearings at 150 m that cross at 75 degrees leave {middle:.1f} ha to search for "
        f"80 %, {low:.1f} or {high:.1f} ha at the ends of the interval."
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
