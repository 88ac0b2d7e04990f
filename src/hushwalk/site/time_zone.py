"""The time zone of a place, and how far the clock of another zone is off it.

The boundaries are a library's; what a clock does in a day is morning_clock.py's business.
"""

from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

NEAR_DEG = 0.05  # judgement: some 5 km; so near a boundary people live by the clock of either side


FIRST_YEAR, LAST_YEAR = 1900, 2199  # judgement: a lifetime either side; beyond it no table of sun or north is meant


def day_fault(day: date, zone: str) -> str:
    """Say why no morning can be planned on a day by the clock of a zone; nothing where it can.

    Examples
    --------
    >>> day_fault(date(2027, 4, 25), "America/Chicago")
    ''
    >>> day_fault(date(2011, 12, 30), "Pacific/Apia")
    'is a day that the clocks of Pacific/Apia skipped; choose another day'
    """
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        return f"lies outside the years {FIRST_YEAR} to {LAST_YEAR}; is the year right?"
    noon = datetime.combine(day, time(12), ZoneInfo(zone))
    if noon.astimezone(UTC).astimezone(ZoneInfo(zone)).date() != day:
        return f"is a day that the clocks of {zone} skipped; choose another day"
    return ""


@cache
def zone_at(lon_deg: float, lat_deg: float) -> str:
    """Give the name of the time zone of a place in the IANA list; at sea the zone of ships.

    References
    ----------
    timezone_boundary_builder

    Examples
    --------
    >>> zone_at(-92.1, 46.8)
    'America/Chicago'
    """
    from tzfpy import get_tz  # noqa: PLC0415 - 5 MB of boundaries, for those who ask

    return get_tz(lon_deg, lat_deg)


def zone_error_h(midnight: datetime, lon_deg: float, lat_deg: float) -> float:
    """Give how far a clock runs ahead of the clocks of a place on a day [h]; 0 where some clock near by agrees.

    Parameters
    ----------
    midnight : start of the day by the clock that is doubted, aware.
    lon_deg, lat_deg : of the place.

    Returns
    -------
    float
        Above 0 where the clock shows more than those of the place.
    """
    steps = (0.0, -NEAR_DEG, NEAR_DEG)
    near = {zone_at(lon_deg + east, lat_deg + north) for east in steps for north in steps if not east * north}
    offsets = [offset for zone in near if (offset := _offset(midnight, zone)) is not None]
    own = midnight.utcoffset() or timedelta()
    if not offsets or own in offsets:
        return 0.0
    here = _offset(midnight, zone_at(lon_deg, lat_deg))
    return 0.0 if here is None else (own - here) / timedelta(hours=1)


def wrong_zone(day: date, zone: str, lon_deg: float, lat_deg: float) -> tuple[float, str] | None:
    """Give how far a clock is off those of a place on a day, and the zone of the place; None where it fits.

    Parameters
    ----------
    day : on which.
    zone : whose clock is doubted.
    lon_deg, lat_deg : of the place.

    Returns
    -------
    tuple of float and str, or None
        [h], above 0 where the clock shows more.
    """
    error_h = zone_error_h(datetime.combine(day, time(), ZoneInfo(zone)), lon_deg, lat_deg)
    return (error_h, zone_at(lon_deg, lat_deg)) if error_h else None


def _offset(midnight: datetime, zone: str) -> timedelta | None:
    try:
        return midnight.replace(tzinfo=ZoneInfo(zone)).utcoffset()
    except (ZoneInfoNotFoundError, ValueError):  # a zone that the clock of this machine does not know yet
        return None
