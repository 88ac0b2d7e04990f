"""`hushwalk pace`: what tracks say of one's own pace, as lines for the trip file.

The learning is morning/walked_tracks.py's.
"""

from pathlib import Path

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import LAYERS, TRIP, settings_of


@click.command(name="pace")
@TRIP
@click.argument("tracks", nargs=-1, required=True, type=click.Path(path_type=Path))
@LAYERS
def command(trip: Path, tracks: tuple[Path, ...], layers: Path | None) -> None:
    r"""Learn how fast you walk on and off paths, uphill and in the dark, from GPX TRACKS on the ground of TRIP.

    Pauses, stops and jumps of the receiver are left out. What is printed for [walker] goes into the trip file: plans
    then use your pace, and a reserve that follows from how sure it is.

    \b
    Example:
      hushwalk pace trip.toml walk.gpx
      hushwalk pace trip.toml april/*.gpx
    """
    from hushwalk.morning.walked_tracks import learn_from_tracks
    from hushwalk.wording.pace_words import pace_words

    with progress_on_stderr() as progress:
        report = learn_from_tracks(settings_of(trip, layers), tracks, progress)
    click.echo(pace_words(report))
