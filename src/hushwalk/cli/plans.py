"""`hushwalk plans`: the plans of a trip that are kept, day by day.

Which they are is notes/plan_list.py's.
"""

from pathlib import Path

import click

from hushwalk.cli.trip_argument import TRIP


@click.command(name="plans")
@TRIP
@click.option("--notes", type=click.Path(path_type=Path), help="Field notes [TRIP's folder/notes.gpkg].")
def command(trip: Path, notes: Path | None) -> None:
    r"""List the plans of TRIP: each day has a folder of its own, and no plan is written over.

    \b
    Example:
      hushwalk plans trip.toml
      hushwalk plans north_ridge
    """
    from hushwalk.notes.plan_list import list_plans
    from hushwalk.wording.plan_list_words import plan_list_words

    click.echo(plan_list_words(list_plans(trip, notes), trip))
