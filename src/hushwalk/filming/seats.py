"""Where the hide can stand on each side of a log, which lens to take there, and which side is the best.

How a side is scored is logs/sides.py's business, how a lens frames is framing.py's.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from hushwalk.filming.framing import Framing, Lens, LensChoice, Room, Sensor, choose_lenses
from hushwalk.logs.log import HideGround, Log, SessionSun, log_table
from hushwalk.logs.observations import NO_HIDE
from hushwalk.logs.sectors import SECTORS
from hushwalk.logs.sides import Side, score_sides


@dataclass(frozen=True)
class Kit:
    """What the person carries.

    Parameters
    ----------
    lenses : owned; ``factors`` of the extenders, 1 for none.
    video, still : image areas.
    frame_m : wanted width of the field at the bird [m].
    """

    lenses: Sequence[Lens]
    factors: Sequence[float]
    video: Sensor
    still: Sensor
    frame_m: float


@dataclass(frozen=True)
class Seat:
    """One side of a log to sit on: how good it is, how much room there is, and every lens from there, best first."""

    side: Side
    room: Room
    choices: tuple[LensChoice, ...] = field(repr=False)

    @property
    def video(self) -> Framing:
        """The picture of the best lens."""
        return self.choices[0].video

    @property
    def still(self) -> Framing:
        """A still with the same lens from the same place."""
        return self.choices[0].still

    @property
    def possible(self) -> bool:
        """Whether a hide can stand there, as far as anybody noted, and a lens shows the whole bird."""
        found = {fact.what for one in self.side.criteria for fact in one.observed}
        return self.video.fits and not found & NO_HIDE


def room_on(log: Log, sector: str) -> Room:
    """Give the room for a hide on one side: where it stands, how far off it can, or the usual where nobody noted it."""
    table = log_table()["hide"]
    nearest, usual = float(table["nearest_m"]), float(table["farthest_m"])
    noted = log.room_m.get(sector)
    stands = log.stands_m.get(sector)
    farthest = max([nearest, *([usual] if noted is None else [noted]), *([] if stands is None else [stands])])
    return Room(nearest, farthest, noted is not None, None if stands is None else max(stands, nearest))


def seats_of(log: Log, ground: HideGround, sun: SessionSun, kit: Kit) -> tuple[Seat, ...]:
    """Weigh all eight sides, each with the lens that is best there.

    Parameters
    ----------
    log : and what was noted round it.
    ground : where a hide can stand.
    sun : in the minutes of the session.
    kit : what the person carries.

    Returns
    -------
    tuple of Seat
        Those where a hide can stand and a lens shows the whole bird first, then by the score of the side.
    """
    rooms = {sector: room_on(log, sector) for sector in SECTORS}
    choices = {sector: _choices(room, kit) for sector, room in rooms.items()}
    places: Mapping[str, float] = {sector: rows[0].video.distance_m for sector, rows in choices.items()}
    sides = score_sides(log, ground, sun, places)
    seats = []
    for side in sides:
        room, first = rooms[side.name], choices[side.name][0]
        there = _choices(replace(room, farthest_m=max(room.farthest_m, side.distance_m), at_m=side.distance_m), kit)
        seats.append(Seat(side, room, (first, *(one for one in there if one.owned != first.owned))))
    return tuple(sorted(seats, key=lambda seat: (not seat.possible, -seat.side.score)))


def _choices(room: Room, kit: Kit) -> tuple[LensChoice, ...]:
    return choose_lenses(kit.lenses, (kit.video, kit.still), kit.factors, kit.frame_m, room)
