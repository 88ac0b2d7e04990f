"""A planned morning in Python: the facts, tables of stops and legs, a plot, and the files of `hushwalk plan`.

Planning is morning/story.py's business.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from hushwalk.morning.report import Report
from hushwalk.outputs.registry import PAPERS, walk_products
from hushwalk.outputs.write import write

if TYPE_CHECKING:
    from geopandas import GeoDataFrame

TIMES = ("arrive", "leave", "latest_leave", "depart")
"""Definition: columns that hold moments."""


@dataclass(frozen=True, eq=False)
class MorningPlan:
    """One planned morning; ``str()`` gives the summary of `hushwalk plan`.

    Parameters
    ----------
    report : every fact of the plan: stops, legs, light, males, proof, warnings.
    """

    report: Report

    @property
    def males_expected(self) -> float:
        """Males that one expects to hear."""
        return self.report.males.expected

    @property
    def gap(self) -> float:
        """How far the best possible walk could lie above this one, as a share of the bound, 0..1; 1 without a proof."""
        return self.report.proof.gap if self.report.proof.made else 1.0

    @property
    def stops(self) -> "GeoDataFrame":
        """A row a stop in walking order: moments, ``males_expected``, ``chance_any`` 0..1, ``earshot_m``, a point."""
        return self._table("stops")

    @property
    def legs(self) -> "GeoDataFrame":
        """A row a walk between two stops: ``length_m``, ``climb_m``, ``azimuth_deg``, ``on_trail_share``, a line."""
        return self._table("legs")

    @property
    def earshot(self) -> "GeoDataFrame":
        """The ground within earshot of each stop, by ``chance`` 0..1."""
        return self._table("earshot")

    def summary(self) -> dict[str, Any]:
        """Give the figures of the plan as in ``summary.json``."""
        from hushwalk.outputs.walk.walk_data import summary  # noqa: PLC0415 - loads what most do not need

        return summary(self.report)

    def write(self, folder: str | Path, papers: Sequence[str] = PAPERS) -> tuple[Path, ...]:
        """Write the map page, the print sheets, GPX, KML, GeoJSON, GeoPackage and summary.

        Parameters
        ----------
        folder : is made where it is missing; files of the same names are replaced.
        papers : of the sheets, ``"a4"`` or ``"letter"``.

        Returns
        -------
        tuple of Path
            All of them, or none is written.

        Raises
        ------
        OutputError
            If the folder cannot be written to.
        """
        return tuple(file.path for file in write(walk_products(self.report, papers), Path(folder)))

    def plot(self, ax: Any = None) -> Any:  # noqa: ANN401 - of an extra
        """Draw stops, legs and earshot over the suitability; needs the extra ``plot``.

        Parameters
        ----------
        ax : matplotlib axes to draw on; None for a new figure.

        Returns
        -------
        matplotlib.axes.Axes
            In metres of the grid.

        Raises
        ------
        InputError
            If matplotlib is not installed.
        """
        from hushwalk.api.plots import draw_plan  # noqa: PLC0415 - an extra

        return draw_plan(self.report, ax)

    def _table(self, name: str) -> "GeoDataFrame":
        import geopandas as gpd  # noqa: PLC0415 - takes a second to load
        import pandas as pd  # noqa: PLC0415 - likewise

        from hushwalk.outputs.walk.geopackage import geopackage_tables  # noqa: PLC0415 - likewise

        table = geopackage_tables(self.report).get(name)
        if table is None:
            return gpd.GeoDataFrame({"name": []}, geometry=[], crs=self.report.grid.crs)
        moments = {key: pd.to_datetime(table[key]) for key in TIMES if key in table}
        return table.assign(**moments)

    def __str__(self) -> str:
        """Give the summary of `hushwalk plan`."""
        from hushwalk.wording.plan_words import summary_words  # noqa: PLC0415 - loads what most do not need

        return summary_words(self.report)
