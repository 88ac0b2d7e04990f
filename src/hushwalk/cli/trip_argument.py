"""What several commands share: the trip argument and the layers option.

The commands themselves are in their own files; what one sees while one waits is progress.py's business.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

import click

from hushwalk.errors import MissingFileError

if TYPE_CHECKING:
    from hushwalk.site.settings import TripSettings


class FiniteRange(click.FloatRange):
    """A number within limits; "nan", which lies within none, is refused."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:  # noqa: ANN401
        """Turn what was typed into a number."""
        number = super().convert(value, param, ctx)
        if not isfinite(number):
            self.fail(f"{value} is no number in the range {self._describe_range()}.", param, ctx)
        return number


class DayMeant(click.ParamType[date | int]):
    """A date such as 2027-04-25, or the number of a day of the trip, 1 for the first."""

    name = "day"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date | int:  # noqa: ANN401
        """Turn what was typed into a date or a number."""
        if isinstance(value, date | int):
            return value
        try:
            return date.fromisoformat(value) if "-" in value[1:] else _NUMBER.convert(value, param, ctx)
        except (ValueError, click.BadParameter):
            self.fail(f"{value} is neither a date such as 2027-04-25 nor the number of a day, such as 2.", param, ctx)


_NUMBER = click.IntRange(1, 366)
NO_NOTES = Path("none")
"""What a person types for a plan without notes."""


def trip_file_of(trip: Path) -> Path:
    """Give the trip file where only its folder was typed."""
    return trip / "trip.toml" if trip.is_dir() else trip


def _trip(context: click.Context, _parameter: click.Parameter, trip: Path) -> Path:
    """Take a folder for the trip file in it, and write in the units of the trip until the command is done."""
    file = trip_file_of(trip)
    write_in_units_of(context, file)
    return file


def write_in_units_of(context: click.Context, file: Path) -> None:
    """Write measures in the units of a trip file or an area file until the command is done."""
    from hushwalk.site.units import units_in
    from hushwalk.wording.measures import written_in

    context.with_resource(written_in(units_in(file)))


TRIP = click.argument("trip", type=click.Path(path_type=Path), callback=_trip)
LAYERS = click.option(
    "--layers",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    help="Folder that the layer paths of the trip file start at [the trip file's own].",
)

DAY = click.option(
    "--day",
    type=DayMeant(),
    metavar="DATE|N",
    help="Which day: a date, or N for the Nth of campaign.days [morning.date of TRIP].",
)

DAYS = click.option(
    "--day",
    "only",
    type=DayMeant(),
    multiple=True,
    metavar="DATE|N",
    help="Plan this day: a date, or N for the Nth of campaign.days; repeat it for several [morning.date].",
)


def notes_of(notes: Path | None, trip: Path) -> Path:
    """Give the ledger of a trip, or the one that was named, which must be there; "none" is none.

    Raises
    ------
    MissingFileError
        If a ledger was named that is not there.
    """
    from hushwalk.notes.notebook import ledger_file

    if notes is None:
        return ledger_file(trip)
    if notes != NO_NOTES and not notes.is_file():
        raise MissingFileError(f"there is no file {notes} with field notes; name one, or write --notes none for none")
    return notes


def settings_of(trip: Path, layers: Path | None, day: date | int | None = None) -> "TripSettings":
    """Read the trip file; layer paths start at another folder, and the day is another one, if they are given."""
    from hushwalk.site.trip_file import read_trip

    settings = read_trip(trip, day)
    return settings if layers is None else replace(settings, folder=layers.resolve())


def days_meant(trip: Path, days: Sequence[date | int]) -> tuple[date, ...]:
    """Give the days that are meant by dates or numbers, in the order in which they were typed."""
    from hushwalk.site.day_of_trip import day_meant
    from hushwalk.site.trip_file import read_trip

    return tuple(day_meant(read_trip(trip), day) for day in days)


def settings_on_day(trip: Path, layers: Path | None, day: date | int | None) -> "TripSettings":
    """Read the trip file as :func:`settings_of` does, with what it says of that day alone."""
    from hushwalk.site.day_of_trip import on_day

    settings = settings_of(trip, layers, day)
    return on_day(settings, settings.morning.date)


def warn_of_the_past(settings: "TripSettings") -> None:
    """Warn of a trip whose morning is over."""
    from hushwalk.wording.range_words import past_sentence

    words = past_sentence(settings.morning.date, datetime.now(ZoneInfo(settings.morning.time_zone)).date())
    if words:
        click.echo(f"warning: {words}", err=True)
