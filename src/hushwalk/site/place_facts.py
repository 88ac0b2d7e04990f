"""What is known of a place before there is a trip: clock, region, season and sunrise; no layer is read.

Where roads and water are is car_place.py's business; the sentences are wording's.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from hushwalk.grid.points import usng_text
from hushwalk.hearing.availability import display_from_card, peak_day, season_factor
from hushwalk.science.sun import morning_light
from hushwalk.site.bird_range import BirdRegion, bird_region
from hushwalk.site.species import read_card
from hushwalk.site.time_zone import zone_at


@dataclass(frozen=True)
class PlaceFacts:
    """A place on a day.

    Parameters
    ----------
    lon_deg, lat_deg : of it [deg].
    usng : the same on the map grid.
    day : the morning.
    zone : of the clock there.
    sunrise : by that clock; None where the sun does not rise.
    species : name of the bird.
    region : of its card.
    season : how many males display on the day against the peak, 0..1.
    peak : day on which most display, at the height that the card counts from.
    """

    lon_deg: float
    lat_deg: float
    usng: str
    day: date
    zone: str
    sunrise: datetime | None
    species: str
    region: BirdRegion
    season: float
    peak: date


def place_facts(lon_deg: float, lat_deg: float, day: date, species: str) -> PlaceFacts:
    """Give what is known of a place without any layer.

    Parameters
    ----------
    lon_deg, lat_deg : of the place [deg].
    day : the morning.
    species : key of the card, or its path.

    Returns
    -------
    PlaceFacts

    Raises
    ------
    HushwalkError
        If the card cannot be read.
    """
    card, zone = read_card(species), zone_at(lon_deg, lat_deg)
    display = display_from_card(card.raw)
    light = morning_light(day, ZoneInfo(zone), lon_deg, lat_deg)
    days = round(peak_day(display, lat_deg, display.peak_elevation_m)) - 1
    return PlaceFacts(
        lon_deg,
        lat_deg,
        usng_text((lon_deg, lat_deg)),
        day,
        zone,
        None if light.sunrise is None else light.sunrise.astimezone(ZoneInfo(zone)),
        card.name,
        bird_region(card, None, lon_deg, lat_deg),
        season_factor(display, day.timetuple().tm_yday, lat_deg, display.peak_elevation_m),
        date(day.year, 1, 1) + timedelta(days=days),
    )
