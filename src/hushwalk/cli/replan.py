"""`hushwalk replan`: what is left of the walk, from the stop where one stands, at the time it is now.

The planning is morning/replan.py's.
"""

from datetime import date, datetime
from pathlib import Path

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import DAY, LAYERS, TRIP, notes_of, settings_of


@click.command(name="replan")
@TRIP
@click.option("--at", required=True, help="Stop where you stand, such as P04; it and all before are done. Or CAR.")
@click.option("--without", multiple=True, help="Leave this stop out, such as P08; repeat it.")
@click.option("--clock", required=True, type=click.DateTime(["%H:%M"]), help="Wall-clock time now, such as 07:20.")
@click.option(
    "--plan",
    "summary",
    type=click.Path(path_type=Path),
    help="summary.json of the plan [the plan of the day of TRIP].",
)
@click.option(
    "--notes", type=click.Path(path_type=Path), help="Field notes to heed, or none [TRIP's folder/notes.gpkg]."
)
@DAY
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), help="Folder for new maps [none].")
@LAYERS
def command(
    trip: Path,
    *,
    at: str,
    without: tuple[str, ...],
    clock: datetime,
    summary: Path | None,
    notes: Path | None,
    day: date | int | None,
    out: Path | None,
    layers: Path | None,
) -> None:
    r"""Plan the rest of the walk of TRIP from a stop, when you are late or early.

    After noon the plan of the evening is meant, where the day has one.

    \b
    Example:
      hushwalk replan trip.toml --at P04 --clock 07:20
      hushwalk replan trip.toml --at CAR --clock 05:30 --without P08
      hushwalk replan data_demo/trip.toml --plan maps/demo/summary.json --at P04 --clock 06:10 --out rest
    """
    ledger = notes_of(notes, trip)
    settings = settings_of(trip, layers, day)  # a fault in the trip file is said before what takes seconds to load

    from hushwalk.morning.replan import replan
    from hushwalk.morning.straight_back import TooLateError
    from hushwalk.notes.planned_walk import read_further, read_walk, settings_of_plan
    from hushwalk.notes.saved_plans import plan_file
    from hushwalk.outputs.registry import walk_products
    from hushwalk.outputs.write import write
    from hushwalk.progress import Step
    from hushwalk.site.settings import NOON
    from hushwalk.wording.plan_words import summary_words, timetable_words
    from hushwalk.wording.straight_back_words import straight_back_words

    said = summary or plan_file(trip, settings.morning.date, evening=clock.hour >= NOON.hour)
    settings = settings_of_plan(settings, said)
    walk = (*read_walk(said), *read_further(said))
    left_out = tuple(name.upper() for name in without)
    with progress_on_stderr() as progress:
        try:
            report = replan(settings, walk, at.upper(), clock.time(), progress=progress, without=left_out, notes=ledger)
        except TooLateError as late:
            progress(Step("no time is left for another stop"))
            click.echo(straight_back_words(late.way, late.reason))
            return
    click.echo(summary_words(report))
    click.echo(timetable_words(report))
    if out is not None:
        for file in write(walk_products(report), out):
            click.echo(f"  {file.path}")
