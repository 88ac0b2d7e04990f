"""One voice: how times, bearings, lengths and chances are written, on page, paper, receiver and file.

Which of them stand where is the business of each output.
"""

import re
from datetime import datetime

from hushwalk.morning.report import Leg, Report, Stop
from hushwalk.notes.vocabulary import counted

POINTS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")
ALL_ROUND = "all round"


def clock(moment: datetime | None) -> str:
    """Write a time of day in its own zone, or a dash where there is none."""
    return "-" if moment is None else f"{moment:%H:%M}"


def bearing(azimuth_deg: float) -> str:
    """Write a bearing with three digits.

    Examples
    --------
    >>> bearing(359.7), bearing(7.2)
    ('000°', '007°')
    """
    return f"{round(azimuth_deg) % 360:03d}°"


def compass_point(azimuth_deg: float) -> str:
    """Name the nearest of sixteen points.

    Examples
    --------
    >>> compass_point(350.0), compass_point(100.0)
    ('N', 'E')
    """
    return POINTS[round(azimuth_deg / 22.5) % 16]


def towards(stop: Stop) -> str:
    """Say where to listen: compass point, true and magnetic bearing, or all round."""
    if stop.listen_towards_deg is None or stop.listen_towards_magnetic_deg is None:
        return ALL_ROUND
    true, magnetic = bearing(stop.listen_towards_deg), bearing(stop.listen_towards_magnetic_deg)
    return f"{compass_point(stop.listen_towards_deg)}, {true} true, {magnetic} compass"


def towards_short(stop: Stop) -> str:
    """Say where to listen in one breath: compass point and magnetic bearing, or all round."""
    if stop.listen_towards_deg is None or stop.listen_towards_magnetic_deg is None:
        return ALL_ROUND
    return f"{compass_point(stop.listen_towards_deg)} {bearing(stop.listen_towards_magnetic_deg)}"


def walk_on(leg: Leg) -> str:
    """Say how a leg goes."""
    parts = [
        f"{leg.length_m:.0f} m",
        f"{leg.minutes:.0f} min",
        f"{compass_point(leg.azimuth_deg)}, {bearing(leg.magnetic_deg)} compass",
    ]
    return ", ".join([*parts, note] if (note := leg_note(leg)) else parts)


def leg_note(leg: Leg) -> str:
    """Give what is worth knowing of a leg, without its length, which stands beside it already."""
    return _spaced(re.sub(r"^[\d.]+ k?m, ", "", leg.note).rstrip("."))


def percent(share: float) -> str:
    """Write a share in whole percent; never 100 % for what is only likely.

    Examples
    --------
    >>> percent(0.643), percent(0.999)
    ('64 %', '99 %')
    """
    whole = round(100 * share)
    return f"{min(whole, 99) if share < 1 else 100} %"


def offset(degrees: float) -> str:
    """Write the angle between two norths with its side.

    Examples
    --------
    >>> offset(-1.04), offset(0.03)
    ('1.0° west', '0.0°')
    """
    text = f"{abs(degrees):.1f}°"
    return text if text == "0.0°" else f"{text} {'east' if degrees > 0 else 'west'}"


def headline(report: Report) -> tuple[tuple[str, str], ...]:
    """Give the morning in five times: what a tired person looks for first."""
    first = report.stops[0].arrive if report.stops else None
    return (
        ("leave the car", clock(report.depart)),
        ("first stop", clock(first)),
        ("walk without lamp", clock(report.sun.civil_dawn)),
        ("sunrise", clock(report.sun.sunrise)),
        ("back at the car", clock(report.back)),
    )


def promise(report: Report) -> str:
    """Say in one line what the walk is and what it may hear."""
    males = report.males
    return (
        f"{counted(len(report.stops), 'stop')}, {report.length_m / 1000:.1f} km, {report.climb_m:.0f} m of climb. "
        f"Expect to hear {males.expected:.1f} males (range {males.low:.1f} to {males.high:.1f})."
    )


def sentence(words: str) -> str:
    """Begin with a capital and end with a stop, since the words come from many rooms.

    Examples
    --------
    >>> sentence("half of it is known, 50% for sure")
    'Half of it is known, 50 % for sure.'
    """
    text = _spaced(words.strip())
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) or not text else ".")


def _spaced(words: str) -> str:
    """Set the gap before a per cent sign, which some rooms leave out."""
    return re.sub(r"(?<=\d)%", " %", words)
