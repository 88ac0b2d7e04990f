"""A shot list by the clock: what to take in each quarter of an hour, with which lens, aperture, shutter and ISO.

What the light is comes from log_light.py, what each lens shows from seats.py.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

import numpy as np

from hushwalk.filming.day_at_log import DayAtLog
from hushwalk.filming.framing import Framing, LensChoice
from hushwalk.filming.log_light import LogLight, Shot, portrait_shot, video_shot, wing_shots
from hushwalk.filming.seats import Seat
from hushwalk.filming.sessions import hours_table
from hushwalk.science.exposure import iso_needed

QUARTER_MIN = 15


@dataclass(frozen=True)
class Setting:
    """One picture as it is set: the lens, the shot, the ISO, and whether the whole bird is sharp."""

    lens: str
    shot: Shot
    iso: float
    whole_bird: bool


@dataclass(frozen=True)
class Slot:
    """A quarter of an hour.

    Parameters
    ----------
    start : of it.
    video : None where there is no picture at the highest ISO.
    still : the most demanding still that the light allows; None where there is none.
    displays : to be expected in it if he displays that morning.
    contrast_stops : between a fleck of sun and shade; 0 without sun.
    """

    start: datetime
    video: Setting | None
    still: Setting | None
    displays: float
    contrast_stops: float

    @property
    def sound_only(self) -> bool:
        """Whether it is too dark for any picture."""
        return self.video is None and self.still is None


@dataclass(frozen=True)
class ShotList:
    """A session by the clock.

    Parameters
    ----------
    slots : every quarter of an hour from the hide's door on.
    first_still, first_video : start of the first quarter with one, or None.
    displays : to be expected from the first picture on.
    stay_min : how long he displays at a stretch [min].
    back_min : how long he is silent before he starts again: short, middle and long [min].
    may_leave : from when on he displays half as often as at his best; None if he does so to the end.
    """

    slots: tuple[Slot, ...] = field(repr=False)
    first_still: datetime | None
    first_video: datetime | None
    displays: float
    stay_min: float
    back_min: tuple[float, float, float]
    may_leave: datetime | None

    def at(self, moment: datetime) -> Slot | None:
        """Give the quarter of an hour that holds a moment."""
        quarter = timedelta(minutes=QUARTER_MIN)
        return next((one for one in self.slots if one.start <= moment < one.start + quarter), None)


@dataclass(frozen=True)
class ShotParams:
    """What the camera and the bird do.

    Parameters
    ----------
    frames_per_s, iso_max : of the video; the highest ISO that the person puts up with.
    displays_per_min : of a male in the best hour, pauses between bouts counted in.
    bout_min : how long he displays at a stretch [min].
    """

    frames_per_s: float
    iso_max: float
    displays_per_min: float
    bout_min: float


def shot_list(day: DayAtLog, seat: Seat, params: ShotParams) -> ShotList | None:
    """Lay out one session by the clock.

    Parameters
    ----------
    day : at the log, in the light on the side that the hide sees.
    seat : where the hide stands, with every lens from there.
    params : of camera and bird.

    Returns
    -------
    ShotList or None
        None on a day without a session.

    Notes
    -----
    The light is that of the middle of the quarter. The first lens of the seat is kept as long as it gives a picture;
    before that the one that needs least light. The aperture keeps the whole bird sharp where the light allows it, else
    the lens is wide open and the eye is in focus.
    """
    if day.session is None:
        return None
    session, table = day.session, hours_table()["stay"]
    start = _quarter(session.in_hide_by)
    slots = []
    while start < session.until:
        slots.append(_slot(day, seat, params, start))
        start += timedelta(minutes=QUARTER_MIN)
    seen = [one for one in slots if not one.sound_only]
    return ShotList(
        slots=tuple(slots),
        first_still=next((one.start for one in slots if one.still), None),
        first_video=next((one.start for one in slots if one.video), None),
        displays=sum(one.displays for one in seen),
        stay_min=params.bout_min,
        back_min=tuple(map(float, table["back_min"])),  # type: ignore[arg-type]
        may_leave=_may_leave(day),
    )


def _quarter(moment: datetime) -> datetime:
    return moment.replace(minute=moment.minute // QUARTER_MIN * QUARTER_MIN, second=0, microsecond=0)


def _slot(day: DayAtLog, seat: Seat, params: ShotParams, start: datetime) -> Slot:
    assert day.session is not None  # noqa: S101 - shot_list gives nothing on such days
    first = round((start - day.sky.at(0)) / timedelta(minutes=1))
    middle = min(max(first + QUARTER_MIN // 2, 0), day.sky.n_minutes - 1)
    since = np.arange(first, first + QUARTER_MIN) - int(day.session.minutes[0])
    active = day.session.activity[np.clip(since, 0, len(day.session.activity) - 1)]
    return Slot(
        start=start,
        video=_video(day.light, seat.choices, params, middle),
        still=_still(day.light, seat.choices, params, middle),
        displays=float(active.sum()) * params.displays_per_min,
        contrast_stops=float(day.light.contrast_stops[middle]),
    )


def _video(light: LogLight, choices: Sequence[LensChoice], params: ShotParams, minute: int) -> Setting | None:
    frames = [choice.video for choice in choices if choice.video.fits]
    shots = {one: (video_shot(one.f_number, params.frames_per_s),) for one in frames}
    return _possible(light, frames, shots, params.iso_max, minute)


def _still(light: LogLight, choices: Sequence[LensChoice], params: ShotParams, minute: int) -> Setting | None:
    frames = [choice.still for choice in choices if choice.still.fits]
    shots = {one: (*reversed(wing_shots(one.f_number, one.field_m)), portrait_shot(one.f_number)) for one in frames}
    return _possible(light, frames, shots, params.iso_max, minute)


def _possible(
    light: LogLight,
    frames: Sequence[Framing],
    shots: Mapping[Framing, tuple[Shot, ...]],
    iso_max: float,
    minute: int,
) -> Setting | None:
    """Give the most demanding shot that is possible with the first lens, else with the one that needs least light."""
    lux = float(light.middle_lux[minute])
    for one in (*frames[:1], *sorted(frames[1:], key=lambda row: row.f_number)):
        for shot in shots[one]:
            whole = Shot(shot.kind, one.whole_bird_f_number, shot.shutter_s)
            for tried in dict.fromkeys((whole, shot)):
                iso = float(iso_needed(lux, tried.f_number, tried.shutter_s))
                if iso <= iso_max:
                    return Setting(one.lens, tried, iso, tried.f_number >= one.bird_f_number)
    return None


def _may_leave(day: DayAtLog) -> datetime | None:
    """From the best hour on, the first minute at which he is half as active as at his best."""
    assert day.session is not None  # noqa: S101
    session = day.session
    start = round((session.best[0] - day.sky.at(0)) / timedelta(minutes=1)) - int(session.minutes[0])
    calm = np.flatnonzero(session.activity[start:] <= session.activity.max() / 2)
    return None if calm.size == 0 else day.sky.at(int(session.minutes[start + calm[0]]))
