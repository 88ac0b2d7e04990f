"""One voice: how times, bearings, lengths and chances are written, on page, paper, receiver and file.

Which of them stand where is the business of each output.
"""

import re
from datetime import datetime

from hushwalk.morning.report import Leg, Report, Stop
from hushwalk.science.magnetic import magnetic_from_true
from hushwalk.site.norths import North
from hushwalk.text import counted
from hushwalk.wording.measures import distance, height, route

POINTS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")
ALL_ROUND = "all round"
WET_FROM_M = 5.0  # judgement: a step or two is no wet walk


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
        distance(leg.length_m),
        f"{leg.minutes:.0f} min",
        f"{compass_point(leg.azimuth_deg)}, {bearing(leg.magnetic_deg)} compass",
    ]
    return ", ".join([*parts, note] if (note := leg_note(leg)) else parts)


def leg_note(leg: Leg) -> str:
    """Give what is worth knowing of a leg, without its length, which stands beside it already."""
    parts = [] if leg.on_trail_share is None else way_parts(leg.on_trail_share, leg.fords, leg.bridges, leg.wet_m)
    return "; ".join(parts)


def way_parts(on_trail_share: float, fords: int, bridges: int, wet_m: float = 0.0) -> list[str]:
    """Say what to expect on a way.

    Parameters
    ----------
    on_trail_share : share of it on trails and roads, 0..1.
    fords, bridges : streams to wade off trails, and streams crossed on the trail.
    wet_m : through wet ground off trails [m].

    Returns
    -------
    list of str
    """
    parts = [f"{100 * on_trail_share:.0f} % on trail or road"]
    if fords:
        parts.append(f"wade {counted(fords, 'stream')}")
    if wet_m >= WET_FROM_M:
        parts.append(f"wet feet for {distance(max(round(wet_m, -1), 10))} of wet ground")
    if bridges:
        parts.append(f"{counted(bridges, 'stream')} crossed on the trail, look for the bridge")
    return parts


def way_sentence(length_m: float, on_trail_share: float, fords: int, bridges: int, wet_m: float = 0.0) -> str:
    """Say how long a way is and what to expect on it.

    Parameters
    ----------
    length_m : of the way [m].
    on_trail_share, fords, bridges, wet_m : as for :func:`way_parts`.

    Returns
    -------
    str
        One sentence.
    """
    return f"{route(length_m)}, {'; '.join(way_parts(on_trail_share, fords, bridges, wet_m))}."


def north_sentence(north: North) -> str:
    """Say how magnetic and true north lie; empty where the place is withheld."""
    if north.compass is None:
        return ""
    side = "east" if north.declination_deg >= 0 else "west"
    example = float(magnetic_from_true(90.0, north.declination_deg)) % 360
    words = (
        f"Magnetic north lies {abs(north.declination_deg):.1f} degrees {side} of true north: "
        f"a true bearing of 090 reads {example:03.0f} on the compass."
    )
    if north.compass != "good":
        words += f" The compass is {north.compass} this near the magnetic pole: trust the map, not the needle."
    return words


def whole(value: float) -> str:
    """Write a measure in whole units; what rounds to nothing has no sign.

    Examples
    --------
    >>> whole(-0.4), whole(-0.0), whole(12.6)
    ('0', '0', '13')
    """
    return str(round(value))


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
    """Give the morning in five times: what a tired person looks for first; a sixth where time is kept to close in."""
    first = report.stops[0].arrive if report.stops else None
    latest, kept = report.back_at_latest, report.back_at_latest != report.back
    dawn = (("walk without lamp", clock(report.sun.civil_dawn)), ("sunrise", clock(report.sun.sunrise)))
    dusk = (("sunset", clock(report.sun.sunset)), ("lamp needed from", clock(report.sun.civil_dusk)))
    return (
        ("leave the car" if report.start is None else "set out from START", clock(report.depart)),
        ("first stop", clock(first)),
        *(dawn if report.evening is None else dusk),
        ("back at the car without a try" if kept else "back at the car", clock(report.back)),
        *((("back at the car with all tries", clock(latest)),) if kept else ()),
    )


def promise(report: Report, *, with_males: bool = True) -> str:
    """Say in one line what the walk is, and what it may hear where no other line says so."""
    males = report.males
    heard = (
        f"Expect to hear {males.expected:.1f} males (range {males.low:.1f} to {males.high:.1f}) with year and "
        "weather as assumed, the mean over the levels of evidence. "
    )
    return (
        f"{counted(len(report.stops), 'stop')}, {route(report.length_m)}, {height(report.climb_m)} of climb. "
        f"{heard if with_males else ''}{reserve_words(report)}"
    )


def reserve_words(report: Report) -> str:
    """Say how much longer the walking times are than the pace says."""
    reserve = report.settings.walker.reserve
    return f"Walking times hold a reserve of {percent(reserve)}." if reserve > 0 else "Walking times hold no reserve."


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
