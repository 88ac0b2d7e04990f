"""A plan made fit to be shown to others: places coarsened to a stated grid, notes and the person's own words gone.

The outputs draw it like any other report; share_words.py says what was taken out.
"""

from dataclasses import replace
from datetime import datetime, timedelta
from math import ceil, floor

import numpy as np

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.morning.plain_walk import PlainWalkKind
from hushwalk.morning.report import Leg, PlainWalk, Report, Stop
from hushwalk.morning.sun_times import EveningHours, SunTimes
from hushwalk.site.campaign_settings import CampaignSettings
from hushwalk.site.country import Country
from hushwalk.site.evening_settings import EveningSettings
from hushwalk.site.norths import North
from hushwalk.site.place import Place
from hushwalk.site.settings import PlaceSettings, TripSettings
from hushwalk.site.site import place_of
from hushwalk.site.wish_settings import WishSettings
from hushwalk.types import BoolArray, FloatArray

TITLE = "A shared walk"
TIME_STEP = timedelta(minutes=15)  # judgement: finer clock times would give the lengths of the legs away
LENGTH_STEP_M = 500.0  # judgement: likewise
EARSHOT_STEP_M, CHANCE_STEP, MALES_STEP = 50.0, 0.1, 0.5
"""judgement: exact figures can be worked out for every place from the same public layers, and then matched."""

MARGIN_CELLS = 2  # judgement: the walk never lies on the rim, so that the frame does not give it away


def shared_report(report: Report, grid_m: float) -> Report:
    """Coarsen a report.

    Parameters
    ----------
    report : the morning.
    grid_m : size of the cells that places are moved to; the cells lie at whole multiples of it, so that their corner
        tells nothing of the car [m].
    """
    grid = _coarse_grid(report, grid_m)
    country = _country(report.country, grid, _safe_to_show(report, grid))
    car = _moved(report.car, grid, country.elevation)
    stops = tuple(_stop(stop, grid, country.elevation) for stop in report.stops)
    spots = {"CAR": car, **{stop.place.name: stop.place for stop in stops}}
    return replace(
        report,
        title=TITLE,
        settings=_settings(report.settings, car),
        grid=grid,
        car=car,
        depart=_rounded(report.depart),
        back=_rounded(report.back),
        sun=_sun(report.sun),
        stops=stops,
        legs=tuple(_leg(leg, spots) for leg in report.legs if {leg.start, leg.end} <= spots.keys()),
        north=North(round(report.north.declination_deg), report.north.declination_error_deg, 0.0, compass=None),
        plain=PlainWalk(PlainWalkKind.WITHHELD),
        males=replace(report.males, steps=None),
        proof=replace(report.proof, bound=float("inf"), gap=1.0, best=False, withheld=True),
        country=country,
        budget_curve=(),
        robustness=None,
        verdict=None,
        warnings=(),
        notices=(),
        passage=None,
        region=None,
        shared_grid_m=grid_m,
        crossings=(),
        layer_stories=(),
        bail_outs=(),
        detections=None,
        notes_effect=None,
        wish_effect=None,
        start=None,
        closing=None,
        expected=None,
        evening=_evening(report.evening),
    )


def _evening(hours: EveningHours | None) -> EveningHours | None:
    """What is taken for granted of every evening, and nothing of what the trip says of its own."""
    return hours and replace(hours, after_dark=None, air_assumed=None, weather_of_morning=None)


def _sun(sun: SunTimes) -> SunTimes:
    """Times of the sun in coarse steps: to the second they tell on which meridian the car stands, to 300 m."""
    times = (sun.nautical_dawn, sun.civil_dawn, sun.sunrise, sun.sunset, sun.civil_dusk)
    nautical, civil, rise, sunset, dusk = (None if when is None else _rounded(when) for when in times)
    return SunTimes(nautical, civil, rise, sun.moon, sunset, dusk)


def _coarse_grid(report: Report, grid_m: float) -> Grid:
    places = np.array([report.car.xy_m, *(stop.place.xy_m for stop in report.stops)]) / grid_m
    west, south = (floor(v) - MARGIN_CELLS for v in places.min(axis=0))
    east, north = (ceil(v) + MARGIN_CELLS for v in places.max(axis=0))
    return Grid(report.grid.epsg, west * grid_m, north * grid_m, grid_m, north - south, east - west)


def _safe_to_show(report: Report, grid: Grid) -> BoolArray:
    """Coarse cells that lie within the frame of the trip wherever in its own coarse cell the car stands.

    A mean over the part of a cell inside the frame would tell, against public heights, where the frame ends, and with
    the reach where the car stands. Which cells are empty here follows from the car's coarse cell alone.
    """
    west, south, east, north = report.grid.bounds
    slack_m = 2 * report.grid.cell_m  # definition: the frame is laid out in whole cells about the car
    half = np.array([east - west, north - south]) / 2 - slack_m
    row, col = grid.cell_at(report.car.xy_m, report.car.name)
    middle = grid.xy([row], [col])[0]
    rows, cols = np.indices(grid.shape)
    away = np.abs(grid.xy(rows.ravel(), cols.ravel()) - middle)
    shown: BoolArray = (away + grid.cell_m <= half).all(axis=1).reshape(grid.shape)
    return shown


def _country(country: Country, grid: Grid, shown: BoolArray) -> Country:
    return Country(
        elevation=_coarse(country.elevation, grid, shown),
        cover=None,
        kinds={},
        suitability=_coarse(country.suitability, grid, shown),
        ingredients=(),
        density_per_km2=_coarse(country.density_per_km2, grid, shown),
        good_from=country.good_from,
        credits=country.credits,
    )


def _coarse(layer: Layer, grid: Grid, shown: BoolArray) -> Layer:
    """Mean over each coarse cell; NaN where nothing is known, or where it would tell where the trip's frame ends."""
    rows, cols = np.nonzero(layer.known)
    places = layer.grid.xy(rows, cols)
    inside = grid.contains(places)
    coarse_rows, coarse_cols = grid.rowcol(places[inside])
    cell = coarse_rows * grid.n_cols + coarse_cols
    total = np.bincount(cell, weights=layer.values[rows[inside], cols[inside]], minlength=grid.n_cells)
    count = np.bincount(cell, minlength=grid.n_cells)
    mean = np.where(count > 0, total / np.maximum(count, 1), np.nan).reshape(grid.shape)
    return Layer(layer.name, layer.unit, grid, np.where(shown, mean, np.nan))


def _moved(place: Place, grid: Grid, elevation: Layer) -> Place:
    row, col = grid.cell_at(place.xy_m, place.name)
    return place_of(grid, grid.xy([row], [col])[0], place.name, elevation)


def _stop(stop: Stop, grid: Grid, elevation: Layer) -> Stop:
    return replace(
        stop,
        place=_moved(stop.place, grid, elevation),
        arrive=_rounded(stop.arrive),
        leave=_rounded(stop.leave),
        chance_any=_to_step(stop.chance_any, CHANCE_STEP),
        males_expected=_to_step(stop.males_expected, MALES_STEP),
        earshot_m=_to_step(stop.earshot_m, EARSHOT_STEP_M),
        listen_towards_deg=None,
        listen_towards_magnetic_deg=None,
        earshot=(),
        noise=None,
        reasons=None,
        latest_leave=None,
        bail_out_minutes=None,
        wait_minutes=0.0,
        until_light_minutes=0.0,
    )


def _leg(leg: Leg, spots: dict[str, Place]) -> Leg:
    line: FloatArray = np.array([spots[leg.start].xy_m, spots[leg.end].xy_m])
    away = line[1] - line[0]
    azimuth = round(float(np.degrees(np.arctan2(away[0], away[1])) % 360))
    return Leg(
        start=leg.start,
        end=leg.end,
        line_m=line,
        length_m=round(leg.length_m / LENGTH_STEP_M) * LENGTH_STEP_M,
        climb_m=0.0,
        descent_m=0.0,
        depart=_rounded(leg.depart),
        arrive=_rounded(leg.arrive),
        azimuth_deg=azimuth,
        magnetic_deg=azimuth,
        on_trail_share=None,
    )


def _settings(settings: TripSettings, car: Place) -> TripSettings:
    """Only what a sheet needs, and nothing that a person typed."""
    layers = tuple(replace(layer, path="left out", note="", layer=None, field=None) for layer in settings.layers)
    return replace(
        settings,
        place=PlaceSettings(TITLE, car.usng),
        layers=layers,
        closed=(),
        camera=type(settings.camera)(),
        wishes=WishSettings(),
        campaign=CampaignSettings(),
        evening=EveningSettings(),
        seed=1,
    )


def _to_step(value: float, step: float) -> float:
    return round(value / step) * step


def _rounded(moment: datetime) -> datetime:
    midnight = moment.replace(hour=0, minute=0, second=0, microsecond=0)
    return midnight + round((moment - midnight) / TIME_STEP) * TIME_STEP
