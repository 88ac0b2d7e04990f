"""Filming sessions in reading order: from logs and a span of days to where, when and how to sit.

The rooms below do the work; log_places.py finds the logs; the sentences are wording/filming_words.py's.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from hushwalk.errors import MissingFileError, SettingsError
from hushwalk.filming.framing import Framing, Lens, Room, Sensor, frame_all, sensor_named
from hushwalk.filming.log_days import Lit, day_at_log, exposure_table, far_heights, light_of_day, look_round_log
from hushwalk.filming.log_light import LightParams, Shot, video_shot, wing_shots
from hushwalk.filming.log_places import LogPlace, find_log, named_apart
from hushwalk.filming.session_report import DayAtLog, LogPlan, SessionCaution, SessionReport
from hushwalk.filming.sessions import Activity, SessionParams, When, evening_activity, hours_table, session_of
from hushwalk.filming.sky_day import SUN
from hushwalk.filming.walk_in import walk_in, walks_to
from hushwalk.grid.layer import Layer
from hushwalk.hearing.availability import season_factor, weather_factor
from hushwalk.logs.log import HideGround, SessionSun, log_table
from hushwalk.logs.sides import Side, score_sides
from hushwalk.notes.log_notes import hide_ground
from hushwalk.progress import Progress, Step, quiet
from hushwalk.science.wind_chill import FROSTBITE_C, wind_chill_c
from hushwalk.site.camera_settings import CameraSettings
from hushwalk.site.detectability import Detectability, detectability_of
from hushwalk.site.morning_clock import morning_clock
from hushwalk.site.norths import north_of
from hushwalk.site.place import Place
from hushwalk.site.settings import TripSettings
from hushwalk.site.site import Site, place_of, read_site
from hushwalk.text import counted
from hushwalk.walking.times import TravelTimes

SKYLINE_REACH_M = 20_000.0
DAYS_MAX = 60
NO_LENS = Lens("assumed 500 mm f/5.6", 500.0, 5.6, 3.7)
"""Judgement: a usual long lens, where the trip file names none."""


@dataclass(frozen=True)
class SessionRequest:
    """Which logs, which days.

    Parameters
    ----------
    logs : names or places.
    first : first day; None for the date of the trip.
    days : how many days.
    evening : evenings instead of mornings.
    ledger : the field notes, or None.
    notes_named : whether the person named the notes; then they must be there.

    Raises
    ------
    MissingFileError
        If notes were named that are not there.
    SettingsError
        If no log is named or the span is not 1 to 60 days.
    """

    logs: tuple[str, ...]
    first: date | None = None
    days: int = 7
    evening: bool = False
    ledger: Path | None = None
    notes_named: bool = False

    def __post_init__(self) -> None:
        if not self.logs or not 1 <= self.days <= DAYS_MAX:
            raise SettingsError(f"a session needs at least one log and 1 to {DAYS_MAX} days, got {self.days}")
        if self.notes_named and self.ledger is not None and not self.ledger.is_file():
            raise MissingFileError(f"there are no field notes {self.ledger}; name the file that holds the log")


@dataclass(frozen=True, eq=False)
class _Stage:
    """What is the same for all logs."""

    settings: TripSettings
    camera: CameraSettings
    request: SessionRequest
    site: Site
    detectability: Detectability
    ground: HideGround
    light: LightParams
    sensors: tuple[Sensor, ...]
    lenses: tuple[Lens, ...]
    far: Layer | None

    @property
    def when(self) -> When:
        return "evening" if self.request.evening else "morning"

    @property
    def first(self) -> date:
        return self.request.first or self.settings.morning.date


def plan_sessions(
    settings: TripSettings, camera: CameraSettings, request: SessionRequest, progress: Progress = quiet
) -> SessionReport:
    """Plan filming sessions at one or more logs.

    Parameters
    ----------
    settings : what the trip file says.
    camera : camera, lenses, light and logs.
    request : which logs, which days.
    progress : called with each step as it starts.

    Returns
    -------
    SessionReport
        With the log most worth sitting at first.

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend.
    """
    progress(Step("reading the layers"))
    site = read_site(settings)
    clock = morning_clock(settings.morning, site.car.lon_deg, site.car.lat_deg)
    places = named_apart([find_log(name, camera, request.ledger, site) for name in request.logs])
    progress(Step("working out the walk in the dark"))
    times = walks_to(settings, site, clock, places)
    progress(Step("looking for far ridges"))
    stage = _stage(settings, camera, request, site)
    progress(Step(f"weighing {request.days} days at {counted(len(places), 'log')}"))
    plans = [_plan(stage, place, times, k) for k, place in enumerate(places, start=1)]
    weather = settings.weather
    return SessionReport(
        title=settings.place.name,
        species=site.card.name,
        car=site.car,
        north=north_of(site, clock),
        sky=camera.sky,
        canopy=camera.canopy,
        transmittance=camera.transmittance,
        iso_max=camera.iso_max,
        air_c=weather.temperature_c,
        chill_c=float(wind_chill_c(weather.temperature_c, weather.wind_at_ear_ms)),
        evening=request.evening,
        lens_named=bool(camera.lens),
        cautions=_cautions(settings, evening=request.evening),
        logs=tuple(sorted(plans, key=lambda plan: -(plan.best.score if plan.best else -1.0))),
    )


def _cautions(settings: TripSettings, *, evening: bool) -> tuple[SessionCaution, ...]:
    """Choose the cautions that fit the weather."""
    weather = settings.weather
    chill_c = float(wind_chill_c(weather.temperature_c, weather.wind_at_ear_ms))
    cold = weather.temperature_c <= hours_table()["cold"]["still_c"]
    snow = weather.snow != "none" or weather.snow_cover_share > 0
    chosen = [
        SessionCaution.LEAVE_WORD,
        SessionCaution.DARK,
        SessionCaution.BIRD,
        SessionCaution.REST,
        SessionCaution.HUNTING,
        SessionCaution.PERMITS,
        SessionCaution.PLACE,
    ]
    if cold or evening:
        chosen.insert(2, SessionCaution.COLD)
    if chill_c <= FROSTBITE_C:
        chosen.insert(0, SessionCaution.FROSTBITE)
    if snow or cold:
        chosen.insert(2, SessionCaution.ICE)
    return tuple(chosen)


def _stage(settings: TripSettings, camera: CameraSettings, request: SessionRequest, site: Site) -> _Stage:
    light = LightParams(camera.sky, camera.canopy, settings.weather.snow, camera.transmittance)
    still = _sensor(camera)
    lenses = tuple(Lens(x.name, x.focal_mm, x.f_number, x.nearest_m, x.widest_mm) for x in camera.lens) or (NO_LENS,)
    far = far_heights(settings, site, SKYLINE_REACH_M)
    detectability = detectability_of(settings, site)
    sensors = (still, still.for_video(camera.video_crop))
    return _Stage(settings, camera, request, site, detectability, hide_ground(site), light, sensors, lenses, far)


def _sensor(camera: CameraSettings) -> Sensor:
    usual = sensor_named(camera.sensor)
    width, height = camera.sensor_mm or (usual.width_mm, usual.height_mm)
    return replace(usual, width_mm=width, height_mm=height, confusion_mm=camera.confusion_mm or usual.confusion_mm)


def _plan(stage: _Stage, place: LogPlace, times: TravelTimes, post: int) -> LogPlan:
    """Plan one log: walk, skyline, side, lens, days, pictures."""
    walk, approach = walk_in(times, post, stage.site.grid.epsg)
    log = replace(
        place.log,
        approach_deg=approach,
        wind_from_deg=stage.camera.wind_from_deg,
        wind_ms=stage.settings.weather.wind_at_ear_ms,
    )
    place = replace(place, log=log)
    spot = place_of(stage.site.grid, np.array(log.xy_m), place.name, stage.ground.elevation)
    skyline = look_round_log(place, stage.site, stage.far)
    room = _room(log.room_m)
    framings = _framings(stage, room)
    zone = ZoneInfo(stage.settings.morning.time_zone)
    dates = [stage.first + timedelta(days=k) for k in range(stage.request.days)]
    air_c, lonlat = stage.settings.weather.temperature_c, (spot.lon_deg, spot.lat_deg)
    lit = [light_of_day(day, zone, lonlat, skyline, stage.light, air_c) for day in dates]
    sides = _sides(stage, place, lit[len(lit) // 2], framings[0])
    if sides[0].name in log.room_m:  # the lens must fit the room of the very side that is chosen
        room = _room({sides[0].name: log.room_m[sides[0].name]})
        framings = _framings(stage, room)
    shots = _shots(stage, framings[0])
    wish = _wish(stage, spot, shots[0], walk.seconds)
    days = _days(stage, lit, dates, lambda day: replace(wish(day), hide_deg=sides[0].azimuth_deg))
    best = max(days, key=lambda day: day.score)
    exposure_times, exposure = exposure_table(best, shots, stage.camera.iso_max, stage.when)
    return LogPlan(
        name=place.name,
        place=spot,
        facing_deg=log.facing_deg,
        comes_from_deg=approach,
        skyline=skyline,
        sides=sides,
        room=room,
        framings=framings,
        main_shot=shots[0],
        field_m=framings[0].field_m,
        walk=walk,
        days=days,
        best=None if best.session is None else best,
        exposure_times=exposure_times,
        exposure=exposure,
        facing=place.facing,
    )


def _room(noted_m: Mapping[str, float]) -> Room:
    """From the nearest that a hide may stand to the farthest that was noted, or the usual."""
    table = log_table()["hide"]
    nearest = float(table["nearest_m"])
    return Room(nearest, max([*noted_m.values(), nearest]) if noted_m else float(table["farthest_m"]))


def _framings(stage: _Stage, room: Room) -> tuple[Framing, ...]:
    """Every lens, extender and sensor in the room; what fits comes first."""
    return frame_all(stage.lenses, stage.sensors, (1.0, *stage.camera.extenders), stage.camera.frame_m, room)


def _shots(stage: _Stage, chosen: Framing) -> tuple[Shot, ...]:
    video = video_shot(chosen.f_number, stage.camera.frames_per_s)
    return (video, *wing_shots(chosen.f_number, chosen.field_m))


def _wish(stage: _Stage, place: Place, shot: Shot, walk_s: float) -> Callable[[date], SessionParams]:
    """What is wanted and possible on a day, but for the side."""
    display = stage.detectability.display
    weather = weather_factor(display, stage.detectability.weather)

    def wish(day: date) -> SessionParams:
        season = season_factor(display, day.timetuple().tm_yday, place.lat_deg, place.elevation_m)
        return SessionParams(shot, stage.camera.iso_max, season, weather, None, walk_s)

    return wish


def _activity(stage: _Stage) -> Activity:
    if stage.request.evening:
        return evening_activity()
    return Activity(stage.detectability.display.minutes_from_sunrise, stage.detectability.display.hour_factor)


def _sides(stage: _Stage, place: LogPlace, lit: Lit, first: Framing) -> tuple[Side, ...]:
    """Judge the sides by the sun of the middle day."""
    sky, states, light = lit
    session = session_of(sky, light, states, _activity(stage), SessionParams(_shots(stage, first)[0]), stage.when)
    minutes = np.arange(0) if session is None else session.minutes
    weight = np.zeros(0) if session is None else session.activity
    sun = SessionSun(sky.sun_azimuth_deg[minutes], states[minutes] == SUN, weight)
    return score_sides(place.log, stage.ground, sun, first.distance_m if first.fits else None)


def _days(
    stage: _Stage, lit: Sequence[Lit], dates: Sequence[date], wish: Callable[[date], SessionParams]
) -> tuple[DayAtLog, ...]:
    activity = _activity(stage)
    pairs = zip(lit, dates, strict=True)
    return tuple(day_at_log(one, day, activity, wish(day), stage.when) for one, day in pairs)
