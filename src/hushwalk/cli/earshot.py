"""`hushwalk earshot`: the sound budget of one path between two places.

The physics is the hearing room's.
"""

from datetime import date
from pathlib import Path

import click

from hushwalk.cli.trip_argument import DAY, LAYERS, TRIP, settings_on_day


@click.command(name="earshot")
@TRIP
@click.argument("bird")
@click.argument("ear")
@click.option(
    "--plan",
    "summary",
    type=click.Path(path_type=Path),
    help="summary.json of the plan whose stops are named [the plan of the day of TRIP].",
)
@DAY
@LAYERS
def command(trip: Path, bird: str, ear: str, summary: Path | None, day: date | int | None, layers: Path | None) -> None:
    r"""Print what a display loses on its way from BIRD to EAR, term by term in dB, and the chance to hear it.

    BIRD and EAR are stops of the plan, such as P03, or places in degrees, UTM or USNG.

    \b
    Example:
      hushwalk earshot trip.toml "47.6231, -91.7052" P03
      hushwalk earshot trip.toml "47.6231, -91.7052" "47.6250, -91.7031"
    """
    settings = settings_on_day(trip, layers, day)  # a fault in the trip file is said before what takes seconds to load

    from hushwalk.notes.planned_walk import place_meant
    from hushwalk.notes.saved_plans import plan_file
    from hushwalk.site.detectability import sound_budget_between
    from hushwalk.site.site import read_site
    from hushwalk.wording.sound_words import budget_table

    plan = summary or plan_file(trip, settings.morning.date)
    places = place_meant(bird, plan), place_meant(ear, plan)
    click.echo(budget_table(sound_budget_between(settings, read_site(settings), *places)))
