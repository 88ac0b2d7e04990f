"""`hushwalk habitat`: how good the ground of a trip is, what that rests on, and whether known birds agree.

The judging is the habitat room's.
"""

from pathlib import Path

import click

from hushwalk.cli.trip_argument import LAYERS, TRIP, settings_of


@click.command(name="habitat")
@TRIP
@click.option(
    "--against",
    type=click.Path(path_type=Path),
    help="Known birds: a CSV with longitude and latitude, a layer of points, or the ledger of field notes.",
)
@click.option("--assumptions", is_flag=True, help="Show how far the males move when each assumption moves.")
@LAYERS
def command(trip: Path, against: Path | None, assumptions: bool, layers: Path | None) -> None:
    r"""Tell how many males the ground of TRIP holds and where its best patches are.

    \b
    Example:
      hushwalk habitat trip.toml
      hushwalk habitat trip.toml --against known_logs.csv
      hushwalk habitat trip.toml --assumptions
    """
    settings = settings_of(trip, layers)  # a fault in the trip file is said before what takes seconds to load

    from hushwalk.season.validation import evidence_against
    from hushwalk.site.assumption_ranges import tornado, tornado_words
    from hushwalk.site.site import read_site
    from hushwalk.wording.habitat_words import evidence_words, habitat_words

    site = read_site(settings)
    if against is not None:
        click.echo(evidence_words(*evidence_against(settings, site, against)))
    if assumptions:
        click.echo(tornado_words(tornado(site)))
    if against is None and not assumptions:
        click.echo(habitat_words(site))
