"""`hushwalk season`: what the notes of a season add up to, and where to go again.

The sums are season/story.py's.
"""

from pathlib import Path

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import LAYERS, TRIP


@click.command(name="season")
@TRIP
@click.option("--notes", type=click.Path(path_type=Path), help="Field notes [TRIP's folder/notes.gpkg].")
@click.option(
    "--out", type=click.Path(file_okay=False, path_type=Path), help="Folder of the map [that of the last day noted]."
)
@LAYERS
def command(trip: Path, notes: Path | None, out: Path | None, layers: Path | None) -> None:
    r"""Sum up the notes of TRIP: mornings, stops, birds and logs, predicted against heard, patches to go to or drop.

    Logs are judged as film sets with the reasons, and those of one male are grouped. A map page shows where one
    listened, heard, found and searched, and where males are still unheard. Places of birds and logs stand in both:
    keep them to yourself.

    \b
    Example:
      hushwalk season trip.toml
      hushwalk season trip.toml --notes last_year.gpkg
    """
    from hushwalk.notes.saved_plans import PLANS
    from hushwalk.outputs.registry import season_products
    from hushwalk.outputs.write import write
    from hushwalk.season.story import season_of
    from hushwalk.wording.season_words import season_words

    with progress_on_stderr() as progress:
        season = season_of(trip, notes=notes, layers=layers, progress=progress)
        (written,) = write(season_products(season), out or trip.parent / PLANS / season.last_day)
    click.echo(season_words(season))
    click.echo(f"written:\n  {written.path}")
