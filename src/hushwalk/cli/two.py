"""`hushwalk two`: the walks of two people on one morning, so that together they hear most.

The planning is campaign/two_people.py's.
"""

from pathlib import Path

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import LAYERS, TRIP, settings_of, trip_file_of


@click.command(name="two")
@TRIP
@click.argument("first")
@click.argument("second")
@click.option("--second-car", metavar="PLACE", help="Where the car of the second one stands [the same car].")
@click.option("--think", "search_s", type=click.FloatRange(0.1, 3600), default=2.0, show_default=True, help="Seconds.")
@click.option(
    "--steps", type=click.IntRange(1), help="Search this many steps instead of seconds: same seed, same plan."
)
@click.option("--notes", type=click.Path(path_type=Path), help="Field notes to heed [TRIP's folder/notes.gpkg].")
@click.option(
    "--out", type=click.Path(file_okay=False, path_type=Path), help="Folder for both folders [TRIP's folder/out/DAY]."
)
@LAYERS
def command(
    trip: Path,
    first: str,
    second: str,
    *,
    second_car: str | None,
    search_s: float,
    steps: int | None,
    notes: Path | None,
    out: Path | None,
    layers: Path | None,
) -> None:
    r"""Plan the morning of TRIP for two people, called FIRST and SECOND: two sheets, two GPX, where and when you meet.

    \b
    Example:
      hushwalk two trip.toml Ada Bo
      hushwalk two trip.toml Ada Bo --second-car "47.3990, -90.3301"
    """
    file = trip_file_of(trip)
    settings = settings_of(file, layers)

    from hushwalk.campaign.two_people import plan_two
    from hushwalk.morning.solved_plan import RunParams
    from hushwalk.morning.story import DRAWING
    from hushwalk.notes.notebook import ledger_file
    from hushwalk.outputs.day_folder import write_two
    from hushwalk.outputs.registry import HEAVY_MODULES
    from hushwalk.wording.two_people_words import two_people_words
    from hushwalk.worker import Worker

    params = RunParams(search_s=None if steps else search_s, proof_s=0.0, iterations=steps)
    with progress_on_stderr() as progress, Worker("hushwalk.morning.story", *HEAVY_MODULES) as worker:
        ledger = notes or ledger_file(file)
        two = plan_two(settings, (first, second), second_car, params, progress, worker, ledger)
        progress(DRAWING)
        written = write_two(file, two, out)
    click.echo(two_people_words(two))
    click.echo("written:")
    for path in written:
        click.echo(f"  {path}")
