"""What an opened trip answers about places, birds and logs: the facts, a table of them, and the sentences.

The facts are worked out in the rooms below; plans are plans.py's.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from hushwalk.birds.story import FixReport
from hushwalk.filming.session_report import LogPlan, SessionReport
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.habitat.why import Why
from hushwalk.hearing.earshot import Earshot
from hushwalk.hearing.sound_budget import SoundBudget
from hushwalk.site.site import Site

if TYPE_CHECKING:
    from geopandas import GeoDataFrame
    from pandas import DataFrame

# pandas and geopandas take a second to load, so that each table loads them when it is asked for


@dataclass(frozen=True, eq=False)
class PlaceReasons:
    """Why a place is good or bad for the bird; ``str()`` gives the sentences.

    Parameters
    ----------
    facts : suitability 0..1, mean of the home range, and each need with measure, score, weight and factor.
    site : the ground that it lies on.
    lonlat : longitude and latitude [deg].
    """

    facts: Why
    site: Site = field(repr=False)
    lonlat: tuple[float, float]

    @property
    def suitability(self) -> float:
        """Worth of the place, 0..1; 0 on open water, NaN where nothing is known."""
        return self.facts.suitability

    @property
    def table(self) -> "DataFrame":
        """A row a need, those that count most first: ``measured`` in ``unit``, ``score`` and ``factor`` 0..1."""
        from hushwalk.api.pandas_tables import reason_table  # noqa: PLC0415

        return reason_table(self.facts)

    def __str__(self) -> str:
        """Give the sentences of `hushwalk why`."""
        from hushwalk.wording.habitat_words import why_words  # noqa: PLC0415

        return why_words(self.site, self.lonlat)


@dataclass(frozen=True, eq=False)
class PlaceEarshot:
    """How far one display is heard at a place.

    Parameters
    ----------
    chance : to hear one display, for every cell, 0..1; NaN where the path is unknown.
    edge : where the chance falls below a level: rings, and the distance in 72 directions [m].
    """

    chance: Layer
    edge: Earshot

    @property
    def median_m(self) -> float:
        """Median distance to the edge [m]."""
        return self.edge.median_m

    @property
    def table(self) -> "DataFrame":
        """A row a direction: ``azimuth_deg`` from grid north, ``radius_m``."""
        from hushwalk.api.pandas_tables import earshot_table  # noqa: PLC0415

        return earshot_table(self.edge)

    @property
    def outline(self) -> "GeoDataFrame":
        """The ground within earshot as one row: ``chance``, ``area_km2``, geometry in metres of the grid."""
        from hushwalk.api.pandas_tables import earshot_outline  # noqa: PLC0415

        return earshot_outline(self.edge, self.chance.grid)


@dataclass(frozen=True, eq=False)
class SoundPath:
    """What becomes of one display on its way to one ear; ``str()`` gives the table of `hushwalk earshot`.

    Parameters
    ----------
    budget : level, losses and noise by band [dB], and what lies in the way.
    """

    budget: SoundBudget

    @property
    def distance_m(self) -> float:
        """Distance along the ground plan [m]."""
        return self.budget.distance_m

    @property
    def chance(self) -> float:
        """Chance to hear the display, 0..1."""
        return self.budget.chance

    @property
    def table(self) -> "DataFrame":
        """A row a band: index ``band_hz``; level at 1 m, each loss, level received, level needed and margin [dB]."""
        from hushwalk.api.pandas_tables import sound_table_of  # noqa: PLC0415

        return sound_table_of(self.budget)

    def __str__(self) -> str:
        """Give the table of `hushwalk earshot`."""
        from hushwalk.wording.sound_words import budget_table  # noqa: PLC0415

        return budget_table(self.budget)


@dataclass(frozen=True, eq=False)
class BirdFixes:
    """Where the birds of a morning probably are; ``str()`` gives the sentences of `hushwalk fix`.

    Parameters
    ----------
    report : every fix with its bearings, refusals, warnings and the next best bearing.
    grid : of the trip.
    """

    report: FixReport
    grid: Grid

    @property
    def chances(self) -> Mapping[str, Layer]:
        """By bird, the chance that it is in a cell; all cells of a bird sum to 1."""
        return {fix.bird: fix.chance for fix in self.report.fixed.fixes}

    @property
    def table(self) -> "GeoDataFrame":
        """A row a bird: bearings, median place, ``area_50_ha``, ``area_80_ha``, ``area_95_ha``, next bearing."""
        from hushwalk.api.pandas_tables import bird_table  # noqa: PLC0415

        return bird_table(self.report, self.grid)

    @property
    def grounds(self) -> "GeoDataFrame":
        """A row a bird and chance: the smallest ground that holds it, ``chance`` 0..1 and ``area_ha``."""
        from hushwalk.api.pandas_tables import bird_grounds  # noqa: PLC0415

        return bird_grounds(self.report, self.grid)

    def __str__(self) -> str:
        """Give the sentences of `hushwalk fix`."""
        from hushwalk.wording.bird_words import fix_words  # noqa: PLC0415

        return fix_words(self.report)


@dataclass(frozen=True, eq=False)
class FilmingSessions:
    """Filming at one or more logs; ``str()`` gives the sentences of `hushwalk session`.

    Parameters
    ----------
    report : every log with sides, lenses, days, light and way in, the one most worth sitting at first.
    """

    report: SessionReport

    @property
    def logs(self) -> tuple[LogPlan, ...]:
        """The logs, the one most worth sitting at first."""
        return self.report.logs

    @property
    def table(self) -> "DataFrame":
        """A row a log and day: session from ``in_hide_by`` to ``until``, ``season`` 0..1, ``score_h`` good hours."""
        from hushwalk.api.pandas_tables import session_table  # noqa: PLC0415

        return session_table(self.report)

    def __str__(self) -> str:
        """Give the sentences of `hushwalk session`."""
        from hushwalk.wording.session_words import log_words  # noqa: PLC0415

        return "\n\n".join(log_words(self.report, plan) for plan in self.logs)
