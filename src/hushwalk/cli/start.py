"""`hushwalk start`: begin a new trip with a commented trip file.

The text of the file is trip/starter.py's.
"""

from pathlib import Path

import click


@click.command(name="start")
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
def command(folder: Path) -> None:
    r"""Write a commented trip file into FOLDER.

    \b
    Example:
      hushwalk start north_ridge
    """
    from hushwalk.trip.starter import write_starter

    path = write_starter(folder)
    click.echo(f"wrote {path}; say in it where the car stands, which morning, and which layers you have, then:")
    click.echo(f"  hushwalk plan {path}")
