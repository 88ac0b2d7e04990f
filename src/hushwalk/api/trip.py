"""A trip opened in Python: layers, answers about places, plans, birds and filming sessions.

What each of them gives is in answers.py and plans.py; the work is done in the rooms below.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from functools import cached_property
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np

from hushwalk.api.answers import BirdFixes, FilmingSessions, PlaceEarshot, PlaceReasons, SoundPath
from hushwalk.api.plans import MorningPlan
from hushwalk.birds.story import FixRequest, fix_notes
from hushwalk.errors import MissingFileError, PlaceError
from hushwalk.filming.story import SessionRequest, plan_sessions
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.points import parse_place, to_metres, utm_epsg
from hushwalk.habitat.patches import patches
from hushwalk.habitat.why import why
from hushwalk.hearing.earshot import earshot
from hushwalk.hearing.earshot_map import CELL_M, earshot_map
from hushwalk.morning.solved_plan import RunParams
from hushwalk.morning.story import plan_morning
from hushwalk.notes.notebook import Notebook, ledger_file, open_ledger
from hushwalk.outputs.ground.geotiffs import ground_layers, ground_products
from hushwalk.outputs.write import write
from hushwalk.progress import Progress, quiet
from hushwalk.site.detectability import Detectability, detectability_of
from hushwalk.site.settings import TripSettings
from hushwalk.site.site import Site
from hushwalk.types import FloatArray

if TYPE_CHECKING:
    from geopandas import GeoDataFrame

PlaceLike = str | tuple[float, float]
"""A place: a text in degrees, UTM or USNG, or longitude and latitude on WGS 84 [deg]."""


class Trip:
    """An opened trip.

    Parameters
    ----------
    settings : what the trip file says.
    site : the ground, read and scored.
    file : the trip file; None where the settings were made in Python.
    """

    def __init__(self, settings: TripSettings, site: Site, file: Path | None = None) -> None:
        self.settings = settings
        self.file = file
        self._site = site

    def __repr__(self) -> str:
        """Name, morning and grid."""
        grid = self.grid
        shape = f"{grid.n_rows} x {grid.n_cols} cells of {grid.cell_m:g} m, EPSG:{grid.epsg}"
        return f"<Trip {self.settings.place.name!r}, {self.settings.morning.date}, {shape}>"

    @property
    def grid(self) -> Grid:
        """Where the ground lies: projected, metric, north up, square cells."""
        return self._site.grid

    @property
    def elevation(self) -> Layer:
        """Heights, lakes and small holes filled [m]."""
        return self._site.inputs.elevation

    @property
    def suitability(self) -> Layer:
        """How good each cell is for the bird, 0..1 of the best ground there is."""
        return self._site.habitat.suitability

    @property
    def males_per_km2(self) -> Layer:
        """Displaying males, the middle figure [1/km2]; low and high are in :attr:`layers`."""
        return self._site.density

    @property
    def males(self) -> tuple[float, float, float]:
        """Displaying males on all the ground: low, middle and high; eight times of ten the truth lies between."""
        return self._site.habitat.males.males()

    @property
    def layers(self) -> Mapping[str, Layer]:
        """Every layer of the habitat by name: ``suitability``, ``score_*`` 0..1, ``measured_*``, ``males_per_km2*``."""
        return MappingProxyType(ground_layers(self._site))

    @property
    def notices(self) -> tuple[str, ...]:
        """What should be known of the layers before they are trusted, one sentence each."""
        return self._site.notices

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What no source supports and moves the answers, one clause each."""
        return self._site.assumptions

    @cached_property
    def patches(self) -> "GeoDataFrame":
        """Connected good ground, that with most males first: ``area_ha``, ``core_ha``, ``males`` with low and high."""
        from hushwalk.api.pandas_tables import patch_table  # noqa: PLC0415 - loads what most do not need

        habitat = self._site.habitat
        return patch_table(patches(habitat.suitability, habitat.males, self._site.card.patch))

    def why(self, place: PlaceLike) -> PlaceReasons:
        """Say why a place is good or bad for the bird, need by need.

        Parameters
        ----------
        place : text in degrees, UTM or USNG, or (longitude, latitude) [deg].

        Returns
        -------
        PlaceReasons
            ``str()`` of it gives the sentences of `hushwalk why`.

        Raises
        ------
        PlaceError
            If the place cannot be read or lies off the ground.
        """
        lonlat, xy = self._place(place)
        return PlaceReasons(why(self._site.habitat.surface, (float(xy[0]), float(xy[1]))), self._site, lonlat)

    def earshot(self, place: PlaceLike, level: float = 0.5) -> PlaceEarshot:
        """Say how far one display is heard at a place, over the real ground, in the air of the morning.

        Parameters
        ----------
        place : of the ear: text in degrees, UTM or USNG, or (longitude, latitude) [deg].
        level : chance at the edge of hearing, between 0 and 1.

        Returns
        -------
        PlaceEarshot
            The chance for every cell, and the edge.

        Raises
        ------
        PlaceError
            If the place cannot be read or lies off the ground.
        InputError
            If elevation or cover is unknown there.
        SettingsError
            If the level does not lie between 0 and 1.
        """
        _, xy = self._place(place)
        chance = self._detectability.soundscape.footprint(xy)
        return PlaceEarshot(chance, earshot(chance, xy, level))

    def earshot_map(self, cell_m: float = CELL_M) -> Layer:
        """Give how far one hears from everywhere: the effective detection radius [m].

        Parameters
        ----------
        cell_m : size of the cells [m].
        """
        return earshot_map(self._detectability.soundscape, cell_m)

    def sound_path(self, bird: PlaceLike, ear: PlaceLike) -> SoundPath:
        """Follow one display from a bird to an ear, loss by loss.

        Parameters
        ----------
        bird, ear : text in degrees, UTM or USNG, or (longitude, latitude) [deg].

        Returns
        -------
        SoundPath
            The losses by band [dB], and the chance to hear it.

        Raises
        ------
        PlaceError
            If a place cannot be read or lies off the ground, or both are the same.
        InputError
            If a layer has no value on the way.
        """
        (_, bird_m), (_, ear_m) = self._place(bird), self._place(ear)
        path = self._detectability.soundscape.path
        return SoundPath(path((float(bird_m[0]), float(bird_m[1])), (float(ear_m[0]), float(ear_m[1]))))

    def plan(
        self,
        seconds: float | None = 2.0,
        proof_s: float = 2.0,
        seed: int | None = None,
        *,
        steps: int | None = None,
        proof_steps: int | None = None,
        notes: str | Path | None = None,
        progress: Progress = quiet,
    ) -> MorningPlan:
        """Plan the morning.

        Parameters
        ----------
        seconds : of search; None to search ``steps`` instead.
        proof_s : seconds for the proof of how good the plan is; 0 asks for none [s].
        seed : of all chance; that of the settings if not given.
        steps, proof_steps : of search and of proof, in place of seconds; then a seed gives the same plan each time.
        notes : the ledger of field notes that the plan heeds; that beside the trip file if not given.
        progress : is called as each step begins.

        Returns
        -------
        MorningPlan
            Stops, legs and what they rest on.

        Raises
        ------
        NoPlanError
            If no walk fits the limits.
        SettingsError
            If a limit cannot be.
        MissingFileError
            If notes were named that are not there.
        """
        params = RunParams(None if steps else seconds, proof_s, steps, proof_steps)
        settings = self.settings if seed is None else replace(self.settings, seed=seed)
        ledger = self._ledger(notes)
        return MorningPlan(plan_morning(settings, params, progress, notes=ledger, site=self._site))

    def birds(
        self,
        notes: str | Path | None = None,
        day: date | None = None,
        *,
        next_bearing: bool = True,
        progress: Progress = quiet,
    ) -> BirdFixes:
        """Say where each bird of a morning probably is, from the bearings in field notes.

        Parameters
        ----------
        notes : the ledger; that beside the trip file if not given.
        day : the morning; None for the latest with a bearing.
        next_bearing : whether to look for the best place for one more bearing of each.
        progress : is called as each step begins.

        Returns
        -------
        BirdFixes
            The ground that holds each bird with a chance of 50, 80 and 95 %.

        Raises
        ------
        MissingFileError
            If there are no notes.
        InputError
            If they hold no bearing of that day.
        """
        request = FixRequest(day, next_bearing=next_bearing)
        return BirdFixes(fix_notes(self._book(notes), request, progress, self._site), self.grid)

    def sessions(
        self,
        *logs: str,
        first: date | None = None,
        days: int = 7,
        evening: bool = False,
        notes: str | Path | None = None,
        progress: Progress = quiet,
    ) -> FilmingSessions:
        """Plan the filming at logs: where to sit, with which lens, on which day and hour.

        Parameters
        ----------
        logs : names from the field notes or from the camera settings, or places.
        first : first day; None for the day of the trip.
        days : how many days to weigh, 1 to 60.
        evening : weigh evenings instead of mornings.
        notes : the ledger; that beside the trip file if not given.
        progress : is called as each step begins.

        Returns
        -------
        FilmingSessions
            The log most worth sitting at first.

        Raises
        ------
        SettingsError
            If no log is named or the span is not 1 to 60 days.
        PlaceError
            If a log is neither known nor a place.
        """
        ledger = self._ledger(notes)
        request = SessionRequest(logs, first, days, evening, ledger, notes_named=notes is not None)
        return FilmingSessions(plan_sessions(self.settings, self.settings.camera, request, progress, self._site))

    def write_geotiffs(self, folder: str | Path, *, with_earshot: bool = True) -> tuple[Path, ...]:
        """Write every layer of :attr:`layers`, and earshot, as cloud-optimised GeoTIFFs with sources in their tags.

        Parameters
        ----------
        folder : is made where it is missing.
        with_earshot : whether to work out how far one hears from everywhere, which takes some seconds.

        Returns
        -------
        tuple of Path
            All of them, or none is written.

        Raises
        ------
        OutputError
            If the folder cannot be written to.
        """
        heard = self.earshot_map() if with_earshot else None
        written = write(ground_products(self._site, self.settings, heard), Path(folder))
        return tuple(file.path for file in written)

    def plot(self, layer: Layer | None = None, ax: Any = None) -> Any:  # noqa: ANN401 - of an extra
        """Draw a layer with streams, water and trails; needs the extra ``plot``.

        Parameters
        ----------
        layer : to be drawn; the suitability if not given.
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
        from hushwalk.api.plots import draw_country  # noqa: PLC0415 - an extra

        return draw_country(self._site.country, self.settings.place.name, layer, ax)

    @cached_property
    def _detectability(self) -> Detectability:
        return detectability_of(self.settings, self._site)

    def _place(self, place: PlaceLike) -> tuple[tuple[float, float], FloatArray]:
        """Longitude and latitude [deg] and metres of a place, which must lie on the ground."""
        lonlat = parse_place(place) if isinstance(place, str) else place
        if not (isinstance(lonlat, tuple | list) and len(lonlat) == 2 and np.all(np.isfinite(lonlat))):  # noqa: PLR2004
            raise PlaceError(
                f"a place is a text in degrees, UTM or USNG, or (longitude, latitude), got {place!r}; "
                'write "47.38, -90.33" or (-90.33, 47.38)'
            )
        xy = to_metres(self.grid.epsg, np.array(lonlat))
        self.grid.cell_at(xy, "the place asked about")
        return (float(lonlat[0]), float(lonlat[1])), xy

    def _ledger(self, notes: str | Path | None) -> Path | None:
        """Ledger that was named, which must be there, or that beside the trip file; None without either."""
        if notes is None:
            return None if self.file is None else ledger_file(self.file)
        if not Path(notes).is_file():
            raise MissingFileError(f"there is no file {notes} with field notes; name the ledger, such as notes.gpkg")
        return Path(notes)

    def _book(self, notes: str | Path | None) -> Notebook:
        """Notebook with the settings of this trip."""
        ledger = self._ledger(notes)
        if self.file is not None:
            return replace(open_ledger(self.file, notes=ledger), settings=self.settings)
        if ledger is None:
            raise MissingFileError("there are no field notes: name the ledger, as notes='notes.gpkg'")
        return Notebook(self.settings, ledger, utm_epsg(*parse_place(self.settings.place.car)))
