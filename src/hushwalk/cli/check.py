"""`hushwalk check`: what a trip has, what it lacks, what will be assumed, and how good a plan can be.

The looking is morning/checkup.py's; nothing is planned and nothing is written.
"""

import sys
from datetime import date
from pathlib import Path

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import DAY, LAYERS, TRIP, settings_on_day, warn_of_the_past
from hushwalk.text import seen

EXIT_TO_MEND = 2


@click.command(name="check")
@TRIP
@DAY
@LAYERS
@click.option("--evening", is_flag=True, help="Look at the hours before sunset too [if TRIP has an [evening]].")
def command(trip: Path, day: date | int | None, layers: Path | None, *, evening: bool) -> None:
    r"""Look TRIP over, layer by layer, without planning it; exit code 2 if something must be mended first.

    \b
    Example:
      hushwalk check north_ridge/trip.toml
      hushwalk check trip.toml --layers downloaded
      hushwalk check trip.toml --evening
      hushwalk check trip.toml --day 2027-04-25
    """
    settings = settings_on_day(trip, layers, day)  # a fault in the trip file is said before what takes seconds to load
    warn_of_the_past(settings)

    from hushwalk.morning.checkup import check_trip
    from hushwalk.wording.checkup_words import checkup_words

    with progress_on_stderr() as progress:
        found = check_trip(settings, progress, evening=evening)
    click.echo(seen(checkup_words(found)))
    if not found.ready:
        sys.exit(EXIT_TO_MEND)
