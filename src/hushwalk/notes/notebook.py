"""The notebook of a trip: its ledger of field notes, opened once for every command that writes or reads notes.

How notes are kept is ledger.py's business; what each command does with them is its own.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from hushwalk.errors import InputError, MissingFileError
from hushwalk.grid.points import parse_place, utm_epsg
from hushwalk.notes.bearing import BearingError
from hushwalk.notes.ledger import LedgerRow, UnreadRow, read_notes, unread_rows
from hushwalk.notes.north import norths_of
from hushwalk.notes.notes import Kind, LonLat
from hushwalk.notes.planned_walk import PlannedStop, read_further, read_walk
from hushwalk.notes.reading.entry import NoteContext
from hushwalk.notes.saved_plans import SavedPlan, plan_meant, saved_plans
from hushwalk.site.settings import NOON, TripSettings
from hushwalk.site.trip_file import read_trip

LEDGER = "notes.gpkg"
PlannedWalk = tuple[tuple[PlannedStop, ...], tuple[PlannedStop, ...]]
"""Stops of a plan, and further ones after them for hours in which nothing is heard."""


@dataclass(frozen=True, eq=False)
class Notebook:
    """A trip's ledger and what one needs to write into it and to read it.

    Parameters
    ----------
    settings : what the trip file says.
    path : the ledger; it may not be there yet.
    epsg : projected system of the trip's grid.
    walk : stops of the saved plan in walking order; empty if the morning is not planned yet.
    further : stops after them, for a morning on which nothing is heard.
    plans : walk and further stops of every day that is planned; a name of a stop is worth nothing on another day.
    evenings : the same of every evening that is planned; on a day with both, notes after noon are of the evening.
    """

    settings: TripSettings
    path: Path
    epsg: int
    walk: tuple[PlannedStop, ...] = field(default=(), repr=False)
    further: tuple[PlannedStop, ...] = field(default=(), repr=False)
    plans: Mapping[date, PlannedWalk] = field(default_factory=dict, repr=False)
    evenings: Mapping[date, PlannedWalk] = field(default_factory=dict, repr=False)

    @property
    def stops(self) -> Mapping[str, LonLat]:
        """Longitude and latitude of the planned and the further stops by name, in walking order [deg]."""
        return {stop.name: (stop.lon_deg, stop.lat_deg) for stop in (*self.walk, *self.further)}

    @property
    def stop_names(self) -> tuple[str, ...]:
        """Names of the stops of any day, so that a word is known to be one."""
        others = (stop.name for walk, further in self.every_walk for stop in (*walk, *further))
        return tuple(dict.fromkeys((*self.stops, *others)))

    @property
    def every_walk(self) -> tuple[PlannedWalk, ...]:
        """Plans of all days, mornings first."""
        return (*self.plans.values(), *self.evenings.values())

    def on(self, day: date) -> "Notebook":
        """Give the notebook with the plan of a day, where that day is planned; else as it is."""
        return self._with(self.plans.get(day) or self.evenings.get(day))

    def at(self, moment: datetime) -> "Notebook":
        """Give the notebook with the plan of the morning or the evening of a moment; else as it is."""
        local = moment.astimezone(self.zone)
        first, second = (self.plans, self.evenings) if local.time() < NOON else (self.evenings, self.plans)
        return self._with(first.get(local.date()) or second.get(local.date()))

    def _with(self, planned: PlannedWalk | None) -> "Notebook":
        return self if planned is None else replace(self, walk=planned[0], further=planned[1])

    @property
    def day(self) -> date:
        """Day of the saved plan, or of the trip file."""
        return self.walk[0].begin.astimezone(self.zone).date() if self.walk else self.settings.morning.date

    @property
    def zone(self) -> ZoneInfo:
        """Time zone of the trip."""
        return ZoneInfo(self.settings.morning.time_zone)

    @property
    def compass(self) -> str:
        """What the person's compass counts from: M magnetic, T true, G grid north."""
        return self.settings.walker.compass[0].upper()

    @property
    def bearing_error(self) -> BearingError:
        """How well this person points, as the trip file says."""
        walker = self.settings.walker
        return BearingError(
            walker.bearing_error_deg, walker.bearing_bias_deg, walker.bearing_strays, walker.bearing_shared_deg
        )

    def notes(self, kind: Kind, *, every: bool = False) -> tuple[LedgerRow, ...]:
        """Rows of one kind as they are in use, or all of them; none if nothing was noted yet."""
        return read_notes(self.path, kind, every=every) if self.path.is_file() else ()

    def unread(self) -> tuple[UnreadRow, ...]:
        """Rows of the ledger with a word that this version does not know; they are left out everywhere."""
        return unread_rows(self.path) if self.path.is_file() else ()

    def context(self, *, day: date | None = None, now: datetime | None = None) -> NoteContext:
        """Give what need not be written on every line.

        Parameters
        ----------
        day : taken where a line says none.
        now : taken where a line says no time; None where times must be written.
        """
        zone = self.settings.morning.time_zone
        by_day, by_evening = (
            {planned: self._with(walk).stops for planned, walk in walks.items()}
            for walks in ({**self.evenings, **self.plans}, {**self.plans, **self.evenings})
        )
        north = norths_of(self.epsg, zone)
        return NoteContext(zone, north, self.stops, day, now, self.day, self.compass, by_day, by_evening)


def ledger_file(trip: Path) -> Path:
    """Where the field notes of a trip are kept, if no other file was named."""
    return trip.parent / LEDGER


def open_ledger(trip: Path, *, plan: Path | None = None, notes: Path | None = None, person: str = "") -> Notebook:
    """Open the notebook of a trip; nothing is written yet.

    Parameters
    ----------
    trip : the trip file.
    plan : summary.json of the plan that was walked; None for the trip's own, each day with that of its day.
    notes : the ledger; None for the trip's own.
    person : one of two, whose own plans are meant; empty where one is alone.

    Returns
    -------
    Notebook
        Settings, the path of the ledger, which may be missing, and the stops of the plan.

    Raises
    ------
    MissingFileError
        If the trip file, or a plan that was named, is not there, or no plan of the person.
    SettingsError, PlaceError, InputError
        If the trip file or the plan cannot be used.
    """
    settings = read_trip(trip)
    book = Notebook(settings, notes or ledger_file(trip), utm_epsg(*parse_place(settings.place.car)))
    if plan is not None:
        return replace(book, walk=read_walk(plan), further=read_further(plan))
    saved, today = saved_plans(trip, person=person), datetime.now(UTC).astimezone(book.zone)
    meant = plan_meant(saved, (today.date(), settings.morning.date), evening=today.time() >= NOON)
    if meant is None and person:
        raise MissingFileError(f"there is no plan of {person}; plan for two with: hushwalk two {trip} NAME {person}")
    if meant is None:
        return book
    walk, further = read_walk(meant.summary), read_further(meant.summary)
    mornings, evenings = (_readable((one for one in saved if one.evening == late), meant) for late in (False, True))
    return replace(book, walk=walk, further=further, plans=mornings, evenings=evenings)


def _readable(saved: Iterable[SavedPlan], meant: SavedPlan) -> dict[date, PlannedWalk]:
    """Read the last plan of every day; one of another day that is damaged never stops the notes of this one."""
    found = {}
    for plan in saved:
        try:
            found[plan.day] = read_walk(plan.summary), read_further(plan.summary)
        except (MissingFileError, InputError):
            if plan == meant:
                raise
    return found
