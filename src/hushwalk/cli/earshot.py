"""`hushwalk earshot`: the sound budget of one path between two places.

The physics is the hearing room's.
"""

from pathlib import Path

import click

from hushwalk.cli.trip_argument import LAYERS, TRIP, settings_of


@click.command(name="earshot")
@TRIP
@click.argument("bird")
@click.argument("ear")
@LAYERS
def command(trip: Path, bird: str, ear: str, layers: Path | None) -> None:
    r"""Print what a display loses on its way from BIRD to EAR, term by term in dB, and the chance to hear it.

    \b
    Example:
      hushwalk earshot trip.toml "47.6231, -91.7052" "47.6250, -91.7031"
    """
    from hushwalk.site.detectability import sound_budget_between
    from hushwalk.site.site import read_site
    from hushwalk.wording.sound_words import budget_table

    settings = settings_of(trip, layers)
    click.echo(budget_table(sound_budget_between(settings, read_site(settings), bird, ear)))
