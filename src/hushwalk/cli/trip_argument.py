"""What several commands share: the trip argument and the layers option.

The commands themselves are in their own files; what one sees while one waits is progress.py's business.
"""

from dataclasses import replace
from datetime import datetime
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


def settings_of(trip: Path, layers: Path | None) -> "TripSettings":
    """Read the trip file, and let layer paths start at another folder if one is given."""
    from hushwalk.site.trip_file import read_trip

    settings = read_trip(trip)
    return settings if layers is None else replace(settings, folder=layers.resolve())


def warn_of_the_past(settings: "TripSettings") -> None:
    """Warn of a trip whose morning is over."""
    from hushwalk.wording.range_words import past_sentence

    words = past_sentence(settings.morning.date, datetime.now(ZoneInfo(settings.morning.time_zone)).date())
    if words:
        click.echo(f"warning: {words}", err=True)
