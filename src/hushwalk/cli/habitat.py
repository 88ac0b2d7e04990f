"""`hushwalk habitat`: how good the ground of a trip is, what that rests on, and whether known birds agree.

The judging is the habitat room's.
"""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import LAYERS, TRIP, settings_of
from hushwalk.progress import Step

if TYPE_CHECKING:
    from hushwalk.site.settings import TripSettings
    from hushwalk.site.site import Site


@click.command(name="habitat")
@TRIP
@click.option(
    "--against",
    type=click.Path(path_type=Path),
    help="Known birds: a CSV with longitude and latitude, a layer of points, or the ledger of field notes.",
)
@click.option("--assumptions", is_flag=True, help="Show how far the males move when each assumption moves.")
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    help="Write suitability, its ingredients, males and earshot into this folder, as cloud-optimised GeoTIFFs.",
)
@LAYERS
def command(trip: Path, against: Path | None, assumptions: bool, out: Path | None, layers: Path | None) -> None:
    r"""Tell how many males the ground of TRIP holds and where its best patches are.

    \b
    Example:
      hushwalk habitat trip.toml
      hushwalk habitat trip.toml --against known_logs.csv
      hushwalk habitat trip.toml --assumptions
      hushwalk habitat trip.toml --out rasters
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
    if out is not None:
        _write_rasters(settings, site, out)


def _write_rasters(settings: "TripSettings", site: "Site", out: Path) -> None:
    """Write every raster of the ground; what was printed before is not lost if it is stopped."""
    from hushwalk.hearing.earshot_map import earshot_map
    from hushwalk.outputs.ground.geotiffs import ground_products
    from hushwalk.outputs.write import write
    from hushwalk.site.detectability import detectability_of

    with progress_on_stderr() as progress:
        progress(Step("working out how far one hears from everywhere"))
        earshot = earshot_map(detectability_of(settings, site).soundscape)
        progress(Step("writing the rasters"))
        written = write(ground_products(site, settings, earshot), out)
    click.echo("written:")
    for file in written:
        click.echo(f"  {file.path}")
