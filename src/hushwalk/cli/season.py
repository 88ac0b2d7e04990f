"""`hushwalk season`: what the notes of a season add up to, and where to go again.

The sums are season/story.py's.
"""

from pathlib import Path

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import LAYERS, TRIP, trip_file_of


@click.command(name="season")
@TRIP
@click.option("--notes", type=click.Path(path_type=Path), help="Field notes [TRIP's folder/notes.gpkg].")
@LAYERS
def command(trip: Path, notes: Path | None, layers: Path | None) -> None:
    r"""Sum up the notes of TRIP: mornings, stops, birds and logs, predicted against heard, patches to go to or drop.

    Logs are judged as film sets with the reasons, and those of one male are grouped. Their places are printed: keep
    them to yourself.

    \b
    Example:
      hushwalk season trip.toml
      hushwalk season trip.toml --notes last_year.gpkg
    """
    from hushwalk.season.story import season_of
    from hushwalk.wording.season_words import season_words

    with progress_on_stderr() as progress:
        season = season_of(trip_file_of(trip), notes=notes, layers=layers, progress=progress)
    click.echo(season_words(season))
