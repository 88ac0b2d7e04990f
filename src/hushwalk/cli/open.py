"""`hushwalk open`: show the map page of a trip in the browser.

Which folder holds the page of a day is outputs/day_folder.py's business.
"""

import webbrowser
from pathlib import Path

import click

from hushwalk.cli.trip_argument import TRIP

PAGES = ("map.html", "campaign.html", "season.html", "search.html", "areas.html")


@click.command(name="open")
@TRIP
@click.option("--print", "only_print", is_flag=True, help="Print the address of the page instead.")
def command(trip: Path, only_print: bool) -> None:
    r"""Open the newest page that was written for TRIP in the browser of this machine.

    \b
    Example:
      hushwalk open north_ridge/trip.toml
    """
    from hushwalk.errors import MissingFileError

    folder = trip.parent
    pages = [path for name in PAGES for path in folder.rglob(name)]
    if not pages:
        raise MissingFileError(f"there is no page below {folder} yet; write one with: hushwalk plan {trip}")
    address = max(pages, key=lambda path: path.stat().st_mtime).resolve().as_uri()
    if only_print or not webbrowser.open(address):
        click.echo(address)
