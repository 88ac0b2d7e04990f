"""`hushwalk areas`: which place of a wide region to scout next.

The ranking is regions/story.py's.
"""

from pathlib import Path

import click

from hushwalk.cli.progress import progress_on_stderr
from hushwalk.cli.trip_argument import write_in_units_of
from hushwalk.progress import Step


@click.command(name="areas")
@click.argument("area_file", type=click.Path(path_type=Path))
@click.option(
    "--out", type=click.Path(file_okay=False, path_type=Path), help="Folder for the results [AREA_FILE's folder/areas]."
)
@click.option("--top", type=click.IntRange(1), default=10, show_default=True, help="How many to print and draw.")
@click.option("--workers", type=click.IntRange(1, 64), default=2, show_default=True, help="Threads or processes.")
@click.option("--processes", is_flag=True, help="Work in processes instead of threads.")
@click.option("--scheduler", metavar="ADDRESS", help="Work on a running Dask cluster, such as tcp://127.0.0.1:8786.")
@click.option("--window", "window_cells", type=click.IntRange(64, 8192), default=1024, show_default=True, hidden=True)
def command(
    area_file: Path, out: Path | None, top: int, workers: int, processes: bool, scheduler: str | None, window_cells: int
) -> None:
    r"""Judge the region of AREA_FILE and rank the places where a car can stand by the males a dawn walk could hear.

    A run that was stopped goes on where it was. AREA_FILE is a TOML file with [region] (name, and bounds = [west,
    south, east, north] in degrees if not all of the cover layer is meant), [morning] and [[layer]] tables as in a trip
    file, and if wanted [places] (path of a layer of points; else ends of roads are taken), [scouted] (points of known
    ground), [drive] (home, longest_min), [walker] and [weather].

    \b
    Example:
      hushwalk areas areas.toml
      hushwalk start next_trip --from-area 1 --areas areas/areas.json
    """
    write_in_units_of(click.get_current_context(), area_file)

    from hushwalk.outputs.registry import areas_products
    from hushwalk.outputs.write import write
    from hushwalk.regions.region_file import read_area_file
    from hushwalk.regions.story import rank_areas
    from hushwalk.regions.surface import WideParams
    from hushwalk.wording.area_words import area_words

    settings = read_area_file(area_file)
    folder = out or area_file.parent / "areas"
    params = WideParams(window_cells, workers, "processes" if processes else "threads", scheduler)
    with progress_on_stderr() as progress:
        areas = rank_areas(settings, folder, params, progress, top)
        progress(Step("drawing the report"))
        written = [file.path for file in write(areas_products(areas, area_file, folder), folder)]
    click.echo(area_words(areas, top))
    click.echo("written:")
    for path in (*written, areas.region.surface, areas.region.density):
        click.echo(f"  {path}")
