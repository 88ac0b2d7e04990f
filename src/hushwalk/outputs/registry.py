"""Every product by name and what makes it: one line a product, so that a new one is a function and a line here.

How a product is drawn stands in its own folder; writing is write.py's business.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path
from typing import Any

from hushwalk.site.units import Units
from hushwalk.text import file_word
from hushwalk.wording.measures import units_now, written_in

MAKERS = {
    "ground raster": "hushwalk.outputs.ground.geotiffs:geotiff_bytes",
    "walk page": "hushwalk.outputs.walk.walk_map:map_page",
    "walk sheet": "hushwalk.outputs.walk.print_sheet:print_sheet",
    "walk gpx": "hushwalk.outputs.walk.gpx:gpx_text",
    "walk kml": "hushwalk.outputs.walk.kml:kml_text",
    "walk geojson": "hushwalk.outputs.walk.walk_data:geojson_text",
    "walk geopackage": "hushwalk.outputs.walk.geopackage:geopackage_bytes",
    "walk summary": "hushwalk.outputs.walk.walk_data:summary_text",
    "rehearsal picture": "hushwalk.outputs.walk.rehearsal_files:rehearsal_svg",
    "rehearsal json": "hushwalk.outputs.walk.rehearsal_files:rehearsal_json",
    "search page": "hushwalk.outputs.search.search_page:search_page",
    "search sheet": "hushwalk.outputs.search.search_sheet:search_sheet",
    "search gpx": "hushwalk.outputs.search.search_files:search_gpx_text",
    "search geojson": "hushwalk.outputs.search.search_files:search_geojson_text",
    "search summary": "hushwalk.outputs.search.search_files:search_summary_text",
    "campaign page": "hushwalk.outputs.campaign.campaign_page:campaign_page",
    "campaign summary": "hushwalk.outputs.campaign.campaign_data:campaign_text",
    "season page": "hushwalk.outputs.season.season_page:season_page",
    "session page": "hushwalk.outputs.filming.session_page:session_page",
    "session sheet": "hushwalk.outputs.filming.session_sheet:session_sheet",
    "areas page": "hushwalk.outputs.regions.area_page:area_page",
    "areas sheet": "hushwalk.outputs.regions.area_sheet:area_sheet",
    "areas csv": "hushwalk.outputs.regions.areas_tables:areas_csv",
    "areas geojson": "hushwalk.outputs.regions.areas_tables:areas_geojson",
    "areas json": "hushwalk.outputs.regions.areas_tables:areas_json",
    "areas geopackage": "hushwalk.outputs.regions.areas_tables:areas_geopackage",
    "patches csv": "hushwalk.outputs.regions.areas_tables:patches_csv",
}
"""Name of a product -> module and function that makes its text or its bytes."""
WALK = {
    "map.html": "walk page",
    "walk.gpkg": "walk geopackage",
    "walk.gpx": "walk gpx",
    "walk.kml": "walk kml",
    "walk.geojson": "walk geojson",
    "summary.json": "walk summary",
}
SEARCH = {
    "search.html": "search page",
    "search.gpx": "search gpx",
    "search.geojson": "search geojson",
    "search.json": "search summary",
}
FOR_MACHINES = (".gpx", ".kml", ".geojson", ".json", ".csv", ".gpkg")
PAPERS = ("a4", "letter")
HEAVY = ("walk page", "walk geopackage")
"""Products that stand on big libraries: drawn in a second process where there is one."""
HEAVY_MODULES = tuple(MAKERS[name].partition(":")[0] for name in HEAVY)


@dataclass(frozen=True, eq=False)
class Product:
    """One file to be written.

    Parameters
    ----------
    file : its name.
    name : of the product, a key of MAKERS.
    of : what the maker is given: the report, and whatever else it takes.
    units : in which measures are written; files for machines are metric whatever these are.
    """

    file: str
    name: str
    of: tuple[Any, ...]
    units: Units = field(default_factory=units_now)

    def content(self) -> bytes:
        """Make the content of the file."""
        module, _, function = MAKERS[self.name].partition(":")
        units = "metric" if self.file.endswith(FOR_MACHINES) else self.units
        with written_in(units):
            made: str | bytes = getattr(import_module(module), function)(*self.of)
        return made.encode("utf-8") if isinstance(made, str) else made


def walk_products(report: object, papers: Sequence[str] = PAPERS) -> tuple[Product, ...]:
    """Map page, print sheets, GPS and data files of a planned walk; the page first."""
    return _with_sheets(WALK, "sheet", "walk sheet", report, papers)


def search_products(report: object, papers: Sequence[str] = PAPERS) -> tuple[Product, ...]:
    """Map page, print sheets, GPS and data file of a search; the page first."""
    return _with_sheets(SEARCH, "search", "search sheet", report, papers)


def areas_products(areas: object, area_file: Path, folder: Path, papers: Sequence[str] = PAPERS) -> tuple[Product, ...]:
    """Report and tables of ranked areas; the page first.

    Parameters
    ----------
    areas : ranked.
    area_file : that they come from.
    folder : in which the results will lie.
    papers : of the report for print.

    Returns
    -------
    tuple of Product
        To be written by ``write``.
    """
    return (
        Product("areas.html", "areas page", (areas,)),
        *(Product(f"areas_{paper}.pdf", "areas sheet", (areas, paper)) for paper in papers),
        Product("areas.csv", "areas csv", (areas,)),
        Product("areas.geojson", "areas geojson", (areas,)),
        Product("areas.json", "areas json", (areas, area_file, folder)),
        Product("patches.csv", "patches csv", (areas,)),
        Product("areas.gpkg", "areas geopackage", (areas,)),
    )


def campaign_products(campaign: object) -> tuple[Product, ...]:
    """Map page and data file of several days together; each day has its own products."""
    return (
        Product("campaign.html", "campaign page", (campaign,)),
        Product("campaign.json", "campaign summary", (campaign,)),
    )


def season_products(season: object) -> tuple[Product, ...]:
    """Map page of a season."""
    return (Product("season.html", "season page", (season,)),)


def rehearsal_products(rehearsed: object) -> tuple[Product, ...]:
    """Picture and figures of a day that was played."""
    return (
        Product("rehearsal.svg", "rehearsal picture", (rehearsed,)),
        Product("rehearsal.json", "rehearsal json", (rehearsed,)),
    )


def session_products(
    report: object, series: object, logs: Sequence[tuple[str, object]], paper: str = "a4"
) -> tuple[Product, ...]:
    """One page of all logs, and a sheet for each.

    Parameters
    ----------
    report, series : of the sessions, and their days as a series.
    logs : name and plan of each log; a name that comes twice gets a number.
    paper : of the sheets.

    Returns
    -------
    tuple of Product
        To be written by ``write``; no two of one file name.
    """
    made: dict[str, Product] = {"sessions.html": Product("sessions.html", "session page", (report, series))}
    for name, plan in logs:
        stem = f"session_{file_word(name)}_{paper}"
        tries = [f"{stem}.pdf", *(f"{stem}_{k}.pdf" for k in range(2, len(logs) + 2))]
        file = next(one for one in tries if one not in made)
        made[file] = Product(file, "session sheet", (report, plan, series, paper))
    return tuple(made.values())


def _with_sheets(
    files: dict[str, str], stem: str, sheet: str, report: object, papers: Sequence[str]
) -> tuple[Product, ...]:
    made = [Product(file, name, (report,)) for file, name in files.items()]
    sheets = [Product(f"{stem}_{paper}.pdf", sheet, (report, paper)) for paper in papers]
    heavy = sum(product.name in HEAVY for product in made) or 1
    return (*made[:heavy], *sheets, *made[heavy:])
