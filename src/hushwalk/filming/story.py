"""Filming sessions in reading order: from logs and a span of days to where, when and how to sit.

The rooms below do the work; log_places.py finds the logs; the sentences are wording/filming_words.py's.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from hushwalk.birds.bird_report import ScoredLog
from hushwalk.errors import MissingFileError, SettingsError
from hushwalk.filming.bird_parts import parts_seen
from hushwalk.filming.crowns import Crowns, crowns_at, leaf_out
from hushwalk.filming.day_at_log import DayAtLog
from hushwalk.filming.expected_sky import DayForecast, expected_on, forecast_of
from hushwalk.filming.framing import Framing, Lens, Sensor, sensor_named
from hushwalk.filming.log_days import Lit, day_at_log, exposure_table, far_heights, light_of_day, look_round_log
from hushwalk.filming.log_light import LightParams, Shot, ShotKind, video_shot, wing_shots
from hushwalk.filming.log_places import LogPlace, find_log, named_apart
from hushwalk.filming.log_weighing import known_logs, weigh
from hushwalk.filming.seats import Kit, seats_of
from hushwalk.filming.session_report import LogPlan, SessionCaution, SessionReport, WalkIn
from hushwalk.filming.sessions import Activity, SessionParams, When, hours_table, session_of
from hushwalk.filming.shot_list import ShotParams, shot_list
from hushwalk.filming.sky_day import SUN, SkyDay
from hushwalk.filming.skyline import Skyline
from hushwalk.filming.walk_in import walk_in, walks_to
from hushwalk.grid.layer import Layer
from hushwalk.hearing.availability import peak_day, season_factor, weather_factor
from hushwalk.logs.log import HideGround, SessionSun
from hushwalk.logs.sight_line import sight_line
from hushwalk.notes.log_notes import hide_ground
from hushwalk.progress import Progress, Step, quiet
from hushwalk.science.wind_chill import FROSTBITE_C, wind_chill_c
from hushwalk.site.camera_settings import CameraSettings
from hushwalk.site.detectability import Detectability, detectability_of
from hushwalk.site.forecast import Forecast, read_forecast
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
    kit: Kit
    far: Layer | None
    known: Mapping[str, ScoredLog]
    forecast: Forecast | None

    def expected(self, day: date, when: When) -> DayForecast:
        """Give the weather expected of one half of a day."""
        return expected_on(self.camera, day, self.forecast, ZoneInfo(self.settings.morning.time_zone), when)

    @property
    def when(self) -> When:
        return "evening" if self.request.evening else "morning"

    @property
    def first(self) -> date:
        return self.request.first or self.settings.morning.date


def plan_sessions(
    settings: TripSettings,
    camera: CameraSettings,
    request: SessionRequest,
    progress: Progress = quiet,
    site: Site | None = None,
) -> SessionReport:
    """Plan filming sessions at one or more logs.

    Parameters
    ----------
    settings : what the trip file says.
    camera : camera, lenses, light and logs.
    request : which logs, which days.
    progress : called with each step as it starts.
    site : the ground, where it was read before; None to read it.

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
    site = site or read_site(settings)
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
        iso_max=camera.iso_max,
        air_c=weather.temperature_c,
        chill_c=float(wind_chill_c(weather.temperature_c, weather.wind_at_ear_ms)),
        evening=request.evening,
        lens_named=bool(camera.lens),
        cautions=_cautions(settings, evening=request.evening),
        peak=_peak(stage),
        credits=site.inputs.credits,
        logs=tuple(sorted(plans, key=lambda plan: (-plan.worth.minutes, -(plan.best.score if plan.best else -1.0)))),
    )


def _peak(stage: _Stage) -> date:
    """Day on which most males display near the car, in the year of the first day."""
    car = stage.site.car
    day = peak_day(stage.detectability.display, car.lat_deg, car.elevation_m)
    return date(stage.first.year, 1, 1) + timedelta(days=round(day) - 1)


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
    still = _sensor(camera)
    lenses = tuple(
        Lens(x.name, x.focal_mm, x.f_number, x.nearest_m, x.widest_mm, x.f_number_wide) for x in camera.lens
    ) or (NO_LENS,)
    kit = Kit(lenses, (1.0, *camera.extenders), still.for_video(camera.video_crop), still, camera.frame_m)
    return _Stage(
        settings,
        camera,
        request,
        site,
        detectability_of(settings, site),
        hide_ground(site),
        kit,
        far_heights(settings, site, SKYLINE_REACH_M),
        known_logs(site, camera, request.ledger),
        forecast_of(read_forecast(settings.folder), site.car),
    )


def _sensor(camera: CameraSettings) -> Sensor:
    usual = sensor_named(camera.sensor)
    width, height = camera.sensor_mm or (usual.width_mm, usual.height_mm)
    return replace(usual, width_mm=width, height_mm=height, confusion_mm=camera.confusion_mm or usual.confusion_mm)


def _plan(stage: _Stage, place: LogPlace, times: TravelTimes, post: int) -> LogPlan:
    """Plan one log: walk, skyline, side, lens, days, pictures, worth."""
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
    dates = [stage.first + timedelta(days=k) for k in range(stage.request.days)]
    crowns = {day: _crowns(stage, spot, day) for day in dates}
    lit = {half: {day: _lit(stage, spot, skyline, half, day, crowns[day]) for day in dates} for half in _halves(stage)}
    seats = seats_of(log, stage.ground, _sun(stage, lit[stage.when][dates[len(dates) // 2]]), stage.kit)
    shots = _shots(stage, seats[0].video)
    picture = (shots[0], seats[0].side.azimuth_deg)
    days, other_days = (_days(stage, spot, lit[half], picture, walk, half) for half in _halves(stage))
    best = max(days, key=lambda day: day.score)
    parts = parts_seen(log.facing_deg, seats[0].side.azimuth_deg)
    exposure_times, exposure = exposure_table(best, shots, stage.camera.iso_max, parts)
    return LogPlan(
        name=place.name,
        place=spot,
        facing_deg=log.facing_deg,
        comes_from_deg=approach,
        skyline=skyline,
        seats=seats,
        sight=sight_line(log, stage.ground.elevation, seats[0].side.name, seats[0].side.xy_m),
        main_shot=shots[0],
        worth=weigh(place, seats[0], walk, best, stage.site, stage.known),
        crowns=crowns[best.day],
        walk=walk,
        days=days,
        best=None if best.session is None else best,
        other_days=other_days,
        evening=stage.request.evening,
        exposure_times=exposure_times,
        exposure=exposure,
        facing=place.facing,
        log=log,
        shots=shot_list(best, seats[0], _shot_params(stage)),
    )


def _halves(stage: _Stage) -> tuple[When, When]:
    return ("evening", "morning") if stage.request.evening else ("morning", "evening")


def _crowns(stage: _Stage, spot: Place, day: date) -> Crowns:
    leaf = leaf_out(day, spot, stage.detectability.display)
    return crowns_at(spot.xy_m, stage.camera, stage.site, leaf)


def _lit(stage: _Stage, spot: Place, skyline: Skyline, half: When, day: date, crowns: Crowns) -> Lit:
    weather = stage.settings.weather
    sky = stage.expected(day, half).sky or stage.camera.sky
    light = LightParams(sky, snow=weather.snow, transmittance=crowns.share)
    zone = ZoneInfo(stage.settings.morning.time_zone)
    return light_of_day(day, zone, (spot.lon_deg, spot.lat_deg), skyline, light, weather.temperature_c)


def _shots(stage: _Stage, chosen: Framing) -> tuple[Shot, ...]:
    f_number = chosen.whole_bird_f_number
    return (video_shot(f_number, stage.camera.frames_per_s), *wing_shots(f_number, chosen.field_m))


def _shot_params(stage: _Stage) -> ShotParams:
    bouts = stage.detectability.display.bouts
    return ShotParams(stage.camera.frames_per_s, stage.camera.iso_max, bouts.rate_per_min * bouts.share, bouts.bout_min)


def _activity(stage: _Stage, when: When) -> Activity:
    display = stage.detectability.display
    if when == "evening":
        return Activity(display.minutes_from_sunset or (0.0,), display.evening_factor or (0.0,))
    return Activity(display.minutes_from_sunrise, display.hour_factor)


def _sun(stage: _Stage, lit: Lit) -> SessionSun:
    """Give the sun of the middle day, by which the sides are judged."""
    sky, states, light = lit
    usual = Shot(ShotKind.VIDEO, stage.kit.lenses[0].f_number, 1 / (2 * stage.camera.frames_per_s))
    session = session_of(sky, light, states, _activity(stage, stage.when), SessionParams(usual), stage.when)
    minutes = np.arange(0) if session is None else session.minutes
    weight = np.zeros(0) if session is None else session.activity
    return SessionSun(sky.sun_azimuth_deg[minutes], states[minutes] == SUN, weight)


def _days(
    stage: _Stage,
    spot: Place,
    lit: Mapping[date, Lit],
    picture: tuple[Shot, float],
    walk: WalkIn,
    when: When,
) -> tuple[DayAtLog, ...]:
    """Weigh every day of the span for one half of the day: by the picture that decides, from the side that is best."""
    shot, side_deg = picture
    display, activity = stage.detectability.display, _activity(stage, when)
    walk_s, back_s = (walk.seconds, walk.back_s) if when == "morning" else (walk.day_s, walk.back_dark_s)
    days = []
    for day, one in lit.items():
        expected = stage.expected(day, when)
        wish = SessionParams(
            shot,
            stage.camera.iso_max,
            season_factor(display, day.timetuple().tm_yday, spot.lat_deg, spot.elevation_m),
            weather_factor(display, expected.weather(stage.detectability.weather)),
            side_deg,
            walk_s,
            back_s,
            _back_by_min(stage, one[0]) if when == "morning" else None,
        )
        days.append(replace(day_at_log(one, day, activity, wish, when), expected=expected))
    return tuple(days)


def _back_by_min(stage: _Stage, sky: SkyDay) -> float:
    back_by = datetime.combine(sky.midnight.date(), stage.settings.morning.back_by, sky.midnight.tzinfo)
    return (back_by.astimezone(UTC) - sky.midnight.astimezone(UTC)).total_seconds() / 60
