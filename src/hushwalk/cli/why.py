"""`hushwalk why`: why is this place good, or not, for the bird.

The reasons come from the habitat room.
"""

from pathlib import Path

import click

from hushwalk.cli.trip_argument import LAYERS, TRIP, settings_of


@click.command(name="why")
@TRIP
@click.argument("place")
@LAYERS
def command(trip: Path, place: str, layers: Path | None) -> None:
    r"""Tell why PLACE, on the ground of TRIP, is good or bad for the bird, ingredient by ingredient.

    \b
    Example:
      hushwalk why trip.toml "47.6231, -91.7052"
      hushwalk why trip.toml "15T WN 97432 75321"
    """
    from hushwalk.site.site import read_site
    from hushwalk.wording.habitat_words import why_words

    settings = settings_of(trip, layers)
    click.echo(why_words(read_site(settings), place))
