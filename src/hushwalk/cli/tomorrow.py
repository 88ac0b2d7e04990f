"""`hushwalk tomorrow`: what to do next, by all that was noted, with chances and minutes.

The choices are morning/tomorrow.py's.
"""

import json
from datetime import date
from pathlib import Path

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import LAYERS, TRIP, DayMeant


@click.command(name="tomorrow")
@TRIP
@click.option(
    "--day",
    type=DayMeant(),
    metavar="DATE|N",
    help="Which day: a date, or N for the Nth of campaign.days [that of TRIP, else after the last notes].",
)
@click.option("--notes", type=click.Path(path_type=Path), help="Field notes [TRIP's folder/notes.gpkg].")
@LAYERS
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of words.")
def command(trip: Path, *, day: date | int | None, notes: Path | None, layers: Path | None, as_json: bool) -> None:
    r"""List what to do on the next day of TRIP: close in on a male, film at a log, listen elsewhere, search.

    Each with its chance and its minutes. The places of birds are printed: keep them to yourself.

    \b
    Example:
      hushwalk tomorrow trip.toml
      hushwalk tomorrow trip.toml --day 2027-04-25
    """
    from hushwalk.morning.tomorrow import what_tomorrow
    from hushwalk.outputs.walk.tomorrow_data import tomorrow_fields
    from hushwalk.wording.tomorrow_words import tomorrow_words

    with progress_on_stderr() as progress:
        found = what_tomorrow(trip, day=day, notes=notes, layers=layers, progress=progress)
    click.echo(json.dumps(tomorrow_fields(found), indent=2) if as_json else tomorrow_words(found))
