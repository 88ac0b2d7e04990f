"""Everything worth telling of one stop, line by line, as page, pop-up and phone show it.

How a time, a bearing or a chance is written is formats.py's.
"""

from hushwalk.morning.report import Report, Stop
from hushwalk.wording.closing_words import stop_closing_lines
from hushwalk.wording.crossing_words import crossing_row
from hushwalk.wording.formats import clock, percent, towards, walk_on
from hushwalk.wording.measures import distance
from hushwalk.wording.morning_words import noise_words


def stop_lines(report: Report, stop: Stop) -> tuple[tuple[str, str], ...]:
    """Give all that is told of a stop, as label and words."""
    onward = next((leg for leg in report.legs if leg.start == stop.place.name), None)
    lines = [
        ("arrive", clock(stop.arrive)),
        ("walk on at", clock(stop.leave)),
        ("listen towards", towards(stop)),
        ("chance to hear one", percent(stop.chance_any)),
        ("listen over", noise_words(stop.noise)),
        ("half are heard to", distance(stop.earshot_m)),
        ("place", stop.place.usng),
    ]
    if onward:
        lines.append((f"then to {onward.end}", walk_on(onward)))
    if stop.latest_leave:
        lines.append(("turn back at the latest", clock(stop.latest_leave)))
    if stop.bail_out_minutes is not None:
        lines.append(("straight back to the car", f"{stop.bail_out_minutes:.0f} min"))
    lines += [crossing_row(one) for one in report.crossings if one.stop == stop.place.name]
    return (*lines, *stop_closing_lines(report.closing, stop.place.name, stop.leave))
