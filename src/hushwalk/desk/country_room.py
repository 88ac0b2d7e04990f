"""Choose the country: what the page asks before there is a trip, and of the place of the car.

The morning on that ground is morning_room.py's; what takes long is country_work.py's.
"""

import asyncio
from datetime import UTC, date, datetime
from typing import Any

from starlette.routing import Route

from hushwalk.desk.answering import answering
from hushwalk.desk.desk_state import Desk
from hushwalk.errors import InputError
from hushwalk.gather.trip_files import bird_of, next_spring
from hushwalk.grid.points import parse_place
from hushwalk.regions.area_trip import area_trip_text
from hushwalk.regions.region_file import AreaSettings, read_area_file
from hushwalk.site.place_facts import place_facts
from hushwalk.site.settings import TripSettings
from hushwalk.text import one_line
from hushwalk.wording.desk_words import place_words

Said = dict[str, Any]
AREA_FILE, RANKING = "areas.toml", "areas/areas.json"
NORTHMOST = 84.0  # definition: where the UTM grid ends


async def _place(desk: Desk, said: Said) -> Said:
    """Say at once what is known of a place: coordinates, clock, region, season, sunrise."""
    lon, lat = parse_place(str(said["text"])) if said.get("text") else _pointed(said)
    version = desk.version
    area_file = desk.folder / AREA_FILE
    settings: TripSettings | AreaSettings | None = None
    if version is not None:
        settings = desk.settings()
    elif area_file.is_file():
        settings = await asyncio.to_thread(read_area_file, area_file)
    day = settings.morning.date if settings else next_spring(datetime.now(UTC).date())
    species = settings.species if settings else bird_of(lon, lat)
    facts = await asyncio.to_thread(place_facts, lon, lat, day, species)
    return {"at": [lat, lon], "rows": place_words(facts), "day": day.isoformat()}


async def _have(desk: Desk, _: Said) -> Said:
    """What the folder holds: whether there is a region to rank."""
    return {"region": (desk.folder / AREA_FILE).is_file(), "ranked": (desk.folder / RANKING).is_file()}


async def _base(desk: Desk, said: Said) -> Said:
    """Draw what layers there are."""
    return await desk.work_out("country", "base", str(desk.folder), _checked(said))


async def _gather(desk: Desk, said: Said) -> Said:
    """Gather layers, with the person's leave to use the network."""
    _pointed(said)
    if said.get("network") is not True:
        raise InputError("gathering asks open services on the web; switch the network on first")
    return await desk.work_out("country", "gather", str(desk.folder), said)


async def _begin(desk: Desk, said: Said) -> Said:
    """Start a trip at a place: the trip file that `hushwalk start` would give, with the layers of the folder."""
    from hushwalk.desk.country_work import started_trip  # noqa: PLC0415 - loads the readers of layers

    _pointed(said)
    text = await asyncio.to_thread(started_trip, desk.folder, _checked(said))
    await desk.put(text, "a trip started")
    return desk.news()


async def _areas(desk: Desk, said: Said) -> Said:
    """Rank the places of the region where a car can stand."""
    if not (desk.folder / AREA_FILE).is_file():
        raise InputError(f"there is no {AREA_FILE} in this folder; `hushwalk gather --region` writes one")
    return await desk.work_out("country", "areas", str(desk.folder), said)


async def _begin_area(desk: Desk, said: Said) -> Said:
    """Start a trip at a ranked area; a trip that stood stays in the history."""
    number = int(said["number"])
    text = await asyncio.to_thread(area_trip_text, desk.folder, number, desk.folder / RANKING)
    await desk.put(text, f"a trip started at area {number}")
    return desk.news()


def _pointed(said: Said) -> tuple[float, float]:
    """Give longitude and latitude of a place that was pointed at."""
    lat, lon = (float(value) for value in said["at"])
    if not (abs(lat) <= NORTHMOST and abs(lon) <= 180):  # noqa: PLR2004 - the globe
        raise InputError(f"{one_line(str(said['at']))} is no place where one could drive to")
    return lon, lat


def _checked(said: Said) -> Said:
    """Give what the page said, with a place and a day that can be read."""
    if said.get("at") is not None:
        _pointed(said)
    if said.get("day"):
        date.fromisoformat(str(said["day"]))
    return said


ROUTES = [
    Route("/api/country/place", answering(_place), methods=["POST"]),
    Route("/api/country/have", answering(_have), methods=["POST"]),
    Route("/api/country/base", answering(_base), methods=["POST"]),
    Route("/api/country/gather", answering(_gather), methods=["POST"]),
    Route("/api/country/begin", answering(_begin), methods=["POST"]),
    Route("/api/country/areas", answering(_areas), methods=["POST"]),
    Route("/api/country/begin_area", answering(_begin_area), methods=["POST"]),
]
