"""`hushwalk why`: why is this place good, or not, for the bird.

The reasons come from the habitat room.
"""

from datetime import date
from pathlib import Path

import click

from hushwalk.cli.trip_argument import DAY, LAYERS, TRIP, settings_on_day


@click.command(name="why")
@TRIP
@click.argument("place")
@click.option(
    "--plan",
    "summary",
    type=click.Path(path_type=Path),
    help="summary.json of the plan whose stops are named [the plan of the day of TRIP].",
)
@DAY
@LAYERS
def command(trip: Path, place: str, summary: Path | None, day: date | int | None, layers: Path | None) -> None:
    r"""Tell why PLACE, on the ground of TRIP, is good or bad for the bird, ingredient by ingredient.

    PLACE is a stop of the plan, such as P03, or a place in degrees, UTM or USNG.

    \b
    Example:
      hushwalk why trip.toml P03
      hushwalk why trip.toml "47.6231, -91.7052"
      hushwalk why trip.toml "15T WN 97432 75321"
    """
    settings = settings_on_day(trip, layers, day)  # a fault in the trip file is said before what takes seconds to load

    from hushwalk.notes.planned_walk import place_meant
    from hushwalk.notes.saved_plans import plan_file
    from hushwalk.site.site import read_site
    from hushwalk.wording.habitat_words import why_words

    lonlat = place_meant(place, summary or plan_file(trip, settings.morning.date))
    click.echo(why_words(read_site(settings), lonlat))
