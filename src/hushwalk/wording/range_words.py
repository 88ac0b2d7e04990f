"""What is assumed of the region and the year of the cycle, and what the law asks there, in sentences.

Which region a place lies in is bird_range.py's business.
"""

from datetime import date

from hushwalk.site.bird_law import BirdLaw
from hushwalk.site.bird_range import BirdRegion
from hushwalk.site.place_mends import Mend
from hushwalk.wording.measures import route

FAR_KM = 20.0  # judgement: an outline this coarse says no more


def region_sentences(region: BirdRegion | None, cycle: str, zone: str = "") -> tuple[str, ...]:
    """Say which region, year and clock are taken where the file names none; nothing where that is withheld.

    Parameters
    ----------
    region : of the place, or None.
    cycle : year of the ten-year cycle, as in the trip file.
    zone : time zone where it was taken from the place, else nothing.

    Returns
    -------
    tuple of str
    """
    if region is None:
        return ()
    said = [] if region.named else [_region(region)]
    if zone:
        said.append(f'the clock is that of {zone}, derived from the place; time_zone = "..." names another')
    if cycle == "unknown":
        said.append(
            "the year of the cycle is unknown and taken between a peak and a low; "
            'cycle = "peak" or "low" says which it is'
        )
    return tuple(said)


def out_of_range_sentence(bird: str, off_km: float, mend: Mend | None = None) -> str:
    """Say that the bird does not live at the place, loudly.

    Parameters
    ----------
    bird : its name.
    off_km : how far away its range ends [km].
    mend : a place within the range that may be meant, or None.

    Returns
    -------
    str
    """
    meant = (
        "" if mend is None else f" It lives at {mend.lat_deg:.4f}, {mend.lon_deg:.4f}: look whether {mend.slip.value}."
    )
    return (
        f"OUT OF RANGE: the {bird} is not known to live here; its range ends about {route(1000 * off_km, 0)} away. No "
        "male can be expected, whatever the numbers say. Look at the place of the car and the species; `hushwalk "
        f"species` lists the cards.{meant}"
    )


def past_sentence(day: date, today: date) -> str:
    """Say that a morning is over; nothing where it is not."""
    return "" if day >= today else f"{day} is over ({today} is today); is the date of the trip right?"


def wrong_zone_sentence(error_h: float, zone: str, where: str = "the car stands") -> str:
    """Say that a clock is not that of a place.

    Parameters
    ----------
    error_h : how far it runs ahead [h].
    zone : that of the place.
    where : what is there.

    Returns
    -------
    str
    """
    side = "ahead of" if error_h > 0 else "behind"
    hours = f"{abs(error_h):g} hour" + "s" * (abs(error_h) != 1)
    return (
        f"Wrong clock: it runs {hours} {side} that of {zone}, where {where}; "
        f'write time_zone = "{zone}" under [morning], or leave the key out.'
    )


def law_sentence(bird: str, law: BirdLaw) -> str:
    """Say what the law of a country asks of those who seek a bird, or that none was looked up."""
    ask = "ask the wildlife office before you go, and keep off display grounds"
    if not law.law:
        return f"Law: what the law of this country says of seeking the {bird} was not looked up; {ask}."
    return f"Law: in {law.country} the {law.law} {law.says}; {ask}."


def _region(region: BirdRegion) -> str:
    how = "taken from the place" if region.off_km is not None else "the first of the species card"
    if region.off_km is not None and region.off_km > FAR_KM:
        how = f"the nearest of the species card, {route(1000 * region.off_km, 0)} away"
    others = ", ".join(region.others)
    parts = f"; parts of the ground lie in {others} and are scored as this one" if others else ""
    return f'the region is {region.key} ({region.label}), {how}{parts}; region = "..." names another'
