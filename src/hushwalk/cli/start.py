"""`hushwalk start`: begin a new trip with a commented trip file.

The text of the file is site/starter.py's.
"""

from pathlib import Path

import click


@click.command(name="start")
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
@click.option("--from-area", "number", type=click.IntRange(1), help="Start from this area of a ranking.")
@click.option(
    "--areas",
    type=click.Path(dir_okay=False, path_type=Path),
    default=Path("areas/areas.json"),
    show_default=True,
    help="The ranking that `hushwalk areas` wrote.",
)
def command(folder: Path, number: int | None, areas: Path) -> None:
    r"""Write a commented trip file into FOLDER, or that of an area which `hushwalk areas` ranked.

    \b
    Example:
      hushwalk start north_ridge
      hushwalk start next_trip --from-area 1 --areas areas/areas.json
    """
    if number is not None:
        from hushwalk.regions.area_trip import write_area_trip

        path = write_area_trip(folder, number, areas)
        click.echo(f"wrote {path}; check the morning in it, then:")
        click.echo(f"  hushwalk plan {path}")
        return

    from hushwalk.site.starter import write_starter

    path = write_starter(folder)
    click.echo(f"wrote {path}; say in it where the car stands, which morning, and which layers you have, then:")
    click.echo(f"  hushwalk plan {path}")
