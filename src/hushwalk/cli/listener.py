"""`hushwalk listener`: what the notes say of one's own ears, as lines for the trip file.

The statistics are the hearing room's; birds/listener_fit.py sorts the notes for them.
"""

from pathlib import Path

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import LAYERS, TRIP, settings_of


@click.command(name="listener")
@TRIP
@click.option("--notes", type=click.Path(path_type=Path), help="The ledger [TRIP's folder/notes.gpkg].")
@LAYERS
def command(trip: Path, notes: Path | None, layers: Path | None) -> None:
    r"""Learn how well you hear and point, from birds whose logs you later found.

    A log noted with its droppings and its bird tells where the bird was; the stops of that morning tell where it was
    heard and where not. What is printed for [walker] goes into the trip file: plans and fixes then use it.

    \b
    Example:
      hushwalk note trip.toml log3 fresh b2 --at "15T YN 00075 50765"
      hushwalk listener trip.toml
    """
    from hushwalk.birds.listener_fit import fit_listener
    from hushwalk.notes.notebook import open_ledger
    from hushwalk.wording.listener_words import listener_words

    with progress_on_stderr() as progress:
        report = fit_listener(open_ledger(trip, notes=notes), settings_of(trip, layers), progress)
    click.echo(listener_words(report))
