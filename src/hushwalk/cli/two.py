"""`hushwalk two`: the walks of two people on one morning or several days, so that together they hear most.

The planning is campaign/two_people.py's.
"""

from dataclasses import replace
from datetime import date
from pathlib import Path

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import DAYS, LAYERS, TRIP, days_meant, settings_of, trip_file_of


@click.command(name="two")
@TRIP
@click.argument("first")
@click.argument("second")
@DAYS
@click.option("--days", type=click.IntRange(1, 14), help="Plan this many days together, from --day on.")
@click.option("--evening", is_flag=True, help="The hours before sunset instead of the morning.")
@click.option("--evenings", is_flag=True, help="Of several days, the evenings as well.")
@click.option("--second-car", metavar="PLACE", help="Where the car of the second one stands [the same car].")
@click.option("--other-way-back", is_flag=True, help="Another way back than the way out [wishes.other_way_back].")
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
    only: tuple[date | int, ...],
    days: int | None,
    evening: bool,
    evenings: bool,
    second_car: str | None,
    other_way_back: bool,
    search_s: float,
    steps: int | None,
    notes: Path | None,
    out: Path | None,
    layers: Path | None,
) -> None:
    r"""Plan the walks of TRIP for two people, called FIRST and SECOND: two sheets, two GPX, where and when you meet.

    \b
    Example:
      hushwalk two trip.toml Ada Bo
      hushwalk two trip.toml Ada Bo --second-car "47.3990, -90.3301"
      hushwalk two trip.toml Ada Bo --days 3
      hushwalk two trip.toml Ada Bo --day 2027-04-25 --other-way-back
    """
    file = trip_file_of(trip)
    the_only = days_meant(file, only)
    settings = settings_of(file, layers, min(the_only, default=None))
    wishes = replace(settings.wishes, other_way_back=other_way_back or settings.wishes.other_way_back)
    settings = replace(settings, wishes=wishes)

    from hushwalk.campaign.outings import campaign_days
    from hushwalk.campaign.two_people import plan_two
    from hushwalk.morning.solved_plan import RunParams
    from hushwalk.morning.story import DRAWING
    from hushwalk.notes.notebook import ledger_file
    from hushwalk.outputs.day_folder import write_two
    from hushwalk.outputs.registry import HEAVY_MODULES
    from hushwalk.wording.two_people_words import pairs_words, two_people_words
    from hushwalk.worker import Worker

    params = RunParams(search_s=None if steps else search_s, proof_s=0.0, iterations=steps)
    with progress_on_stderr() as progress, Worker("hushwalk.morning.story", *HEAVY_MODULES) as worker:
        ledger = notes or ledger_file(file)
        many = days if days or only else 1
        outings = campaign_days(settings, many, evening=evening, evenings=evenings, only=the_only)
        campaign, pairs = plan_two(settings, (first, second), outings, second_car, params, progress, worker, ledger)
        progress(DRAWING)
        several = len(pairs) > 1
        written: list[Path] = []
        for k, two in enumerate(pairs):
            folder = out / f"{two.day}{'-evening' if two.evening else ''}" if out and several else out
            written += write_two(file, two, folder, campaign if several and k == 0 else None)
    click.echo(pairs_words(campaign, pairs) if several else two_people_words(pairs[0]))
    click.echo("written:")
    for path in written:
        click.echo(f"  {path}")
