"""`hushwalk rehearse`: the planned day played some hundreds of times, and what to expect of it.

The playing is morning/day's.
"""

import sys
from contextlib import redirect_stdout
from datetime import date
from pathlib import Path

import click

from hushwalk.cli.plan import command as plan_command
from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import DAY, LAYERS, TRIP, settings_of


@click.command(name="rehearse")
@TRIP
@click.option("--plan", "summary", type=click.Path(path_type=Path), help="summary.json [the plan of the day of TRIP].")
@DAY
@click.option("--days", type=click.IntRange(10, 20000), default=300, show_default=True, help="How often.")
@click.option(
    "--bearings",
    type=click.IntRange(0, 500),
    default=0,
    help="Cross the bearings of this many mornings, too, and say how well they place birds; some seconds each.",
)
@click.option(
    "--out", type=click.Path(file_okay=False, path_type=Path), help="Folder for the picture [beside the plan]."
)
@LAYERS
@click.option("--json", "as_json", is_flag=True, help="Print the figures as JSON instead of words.")
@click.pass_context
def command(
    ctx: click.Context,
    trip: Path,
    *,
    summary: Path | None,
    day: date | int | None,
    days: int,
    bearings: int,
    out: Path | None,
    layers: Path | None,
    as_json: bool,
) -> None:
    r"""Play the planned day of TRIP some hundreds of times: heard, closed in on, found, minutes late, disturbed.

    Birds, year, ear, weather and pace are drawn anew for each day. Without a plan one is made first.

    \b
    Example:
      hushwalk rehearse trip.toml
      hushwalk rehearse trip.toml --plan maps/summary.json --days 1000
    """
    from hushwalk.morning.day.rehearsed_trip import rehearse_trip
    from hushwalk.notes.planned_walk import settings_of_plan
    from hushwalk.notes.saved_plans import plan_file, saved_plans
    from hushwalk.outputs.registry import rehearsal_products
    from hushwalk.outputs.walk.rehearsal_files import rehearsal_json
    from hushwalk.outputs.write import write
    from hushwalk.wording.rehearsal_words import rehearsed_words

    settings = settings_of(trip, layers, day)
    meant = settings.morning.date
    written = summary or plan_file(trip, meant)
    if summary is None and all(plan.day != meant for plan in saved_plans(trip)):
        click.echo("there is no plan yet; planning first", err=True)
        with redirect_stdout(sys.stderr):  # what is printed here is the rehearsal alone
            ctx.invoke(plan_command, trip=trip, layers=layers, day=(meant,))
        written = plan_file(trip, meant)
    settings = settings_of_plan(settings, written)
    with progress_on_stderr() as progress:
        rehearsed = rehearse_trip(settings, written, days=days, bearings=bearings, progress=progress)
        files = write(rehearsal_products(rehearsed), out or written.parent)
    if as_json:
        click.echo(rehearsal_json(rehearsed), nl=False)
        return
    click.echo(rehearsed_words(rehearsed))
    click.echo("written:")
    for one in files:
        click.echo(f"  {one.path}")
