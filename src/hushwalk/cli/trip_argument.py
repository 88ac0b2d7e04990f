"""What several commands share: the trip argument and the layers option.

The commands themselves are in their own files; what one sees while one waits is progress.py's business.
"""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from hushwalk.site.settings import TripSettings

TRIP = click.argument("trip", type=click.Path(path_type=Path))
LAYERS = click.option(
    "--layers",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    help="Folder that the layer paths of the trip file start at [the trip file's own].",
)


def trip_file_of(trip: Path) -> Path:
    """Give the trip file where only its folder was typed."""
    return trip / "trip.toml" if trip.is_dir() else trip


def settings_of(trip: Path, layers: Path | None) -> "TripSettings":
    """Read the trip file, and let layer paths start at another folder if one is given."""
    from hushwalk.site.trip_file import read_trip

    settings = read_trip(trip)
    return settings if layers is None else replace(settings, folder=layers.resolve())
