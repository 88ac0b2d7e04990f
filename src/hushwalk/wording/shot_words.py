"""The shot list by the clock and the series of days in words.

What the light allows is filming/shot_list.py's business, which days are chosen filming/series.py's.
"""

from datetime import datetime, timedelta

from hushwalk.filming.expected_sky import DayForecast, ExpectedFrom
from hushwalk.filming.series import Doing, Series, SeriesDay
from hushwalk.filming.session_report import LogPlan
from hushwalk.filming.sessions import hours_table, rest_rule
from hushwalk.filming.shot_list import QUARTER_MIN, Setting, ShotList, Slot
from hushwalk.wording.filming_words import SHOTS, hhmm, iso_words, shutter_words, table
from hushwalk.wording.measures import distance, speed

SLOT_HEAD = ["from", "lens", "video", "still", "light", "displays"]
TOO_DARK = "too dark"
SLOT_TITLE = "Shot list by the clock (* wide open: focus on the eye)"
HARSH_STOPS = 3.0  # judgement: beyond it either the sun burns out or the shade goes black
SOFT_STOPS = 0.3  # judgement: less is not seen


def slot_cells(slot: Slot) -> list[str]:
    """One quarter of an hour as cells of a table, under ``SLOT_HEAD``."""
    first = slot.video or slot.still
    if first is None:
        return [hhmm(slot.start), "-", "sound only", "too dark for a picture", "", f"{slot.displays:.1f}"]
    video = TOO_DARK if slot.video is None else setting_words(slot.video)
    still = "-"
    if slot.still is not None:
        lens = "" if slot.still.lens == first.lens else f" {slot.still.lens}"
        still = f"{SHOTS[slot.still.shot.kind]}:{lens} {setting_words(slot.still)}"
    return [hhmm(slot.start), first.lens, video, still, _light(slot), f"{slot.displays:.1f}"]


def setting_words(setting: Setting) -> str:
    """Say how one picture is set; a star where only the eye is in focus."""
    shot, star = setting.shot, "" if setting.whole_bird else "*"
    return f"f/{shot.f_number:.1f}{star} {shutter_words(shot.shutter_s)} ISO {iso_words(setting.iso)}"


def _light(slot: Slot) -> str:
    if slot.contrast_stops <= SOFT_STOPS:
        return "soft"
    harsh = ", hard" if slot.contrast_stops > HARSH_STOPS else ""
    return f"sun {slot.contrast_stops:.1f} stops over shade{harsh}"


def joined_slots(shots: ShotList) -> list[tuple[datetime, datetime, list[str]]]:
    """Give the slots with neighbours of the same words joined: start, end, cells; displays are added up."""
    rows: list[tuple[datetime, datetime, list[str]]] = []
    for slot in shots.slots:
        cells, end = slot_cells(slot), slot.start + timedelta(minutes=QUARTER_MIN)
        if rows and slot.sound_only and rows[-1][2][1:5] == cells[1:5]:
            start, _, before = rows[-1]
            rows[-1] = (start, end, [*before[:5], f"{float(before[5]) + slot.displays:.1f}"])
        else:
            rows.append((slot.start, end, cells))
    return rows


def shot_list_words(plan: LogPlan) -> list[str]:
    """Give the shot list as lines; nothing without a session."""
    if plan.shots is None or plan.best is None:
        return []
    rows = [cells for _, _, cells in joined_slots(plan.shots)]
    return ["", f"{SLOT_TITLE}, {plan.best.day:%d %B}", *table(SLOT_HEAD, rows), *stay_words(plan.shots)]


def stay_words(shots: ShotList) -> list[str]:
    """Say how many displays to expect, how long he stays and when to leave."""
    short, middle, long = shots.back_min
    heard = f"About {shots.displays:.0f} displays from the first picture on, if he displays; males differ widely"
    stay = (
        f"He displays for some {shots.stay_min:.0f} min at a stretch. When he goes off, sit still: he is back after "
        f"{middle:.0f} min, most often between {short:.0f} and {long:.0f}."
    )
    leave = "From {} on he displays half as often as at his best: the time to go out unseen."
    out = [] if shots.may_leave is None else [leave.format(hhmm(shots.may_leave))]
    return [heard + ".", stay, *out]


def changes(shots: ShotList) -> list[tuple[datetime, str]]:
    """Give the moments at which something changes: first picture, first video, another lens, hard light."""
    found: list[tuple[datetime, str]] = []
    lens = ""
    for slot in shots.slots:
        setting = slot.video or slot.still
        if setting is None:
            continue
        if not lens:
            found.append((slot.start, f"first picture: {setting.lens}"))
        elif setting.lens != lens:
            found.append((slot.start, f"change to the {setting.lens} between two displays"))
        lens = setting.lens
    if shots.first_video is not None and shots.first_video != shots.first_still:
        found.append((shots.first_video, "first video"))
    return sorted(found)


SERIES_HEAD = ["day", "what", "log", "from", "leave car", "in hide by", "back at car", "weather", "good hours"]


def series_cells(one: SeriesDay) -> list[str]:
    """One line of a series as cells of a table, under ``SERIES_HEAD``."""
    day = f"{one.day:%a %d %b}"
    if one.doing is Doing.FREE:
        return [day, "sleep, or another log", "", "", "-", "-", "-", "", ""]
    side = f"{one.side} at {distance(one.distance_m)}" + (", second side" if one.second_side else "")
    if one.doing is Doing.SET_UP or one.at is None or one.at.session is None:
        return [day, "set the hide up, early afternoon, gone within the hour", one.log, side, "-", "-", "-", "", ""]
    session = one.at.session
    times = [hhmm(session.leave_car_by), hhmm(session.in_hide_by), hhmm(session.back_at)]
    return [day, f"sit, {session.when}", one.log, side, *times, expected_words(one.at.expected), f"{one.worth:.2f}"]


def expected_words(expected: DayForecast) -> str:
    """Say what weather a day is reckoned with, and where that is from."""
    if expected.known_from is ExpectedFrom.TRIP:
        return "as in the trip file"
    rain = "" if expected.rain in (None, "none") else f", {expected.rain} rain"
    wind = "" if expected.wind_ms is None else f", {speed(expected.wind_ms)}"
    said = "forecast" if expected.known_from is ExpectedFrom.FORECAST else "as you wrote"
    return f"{expected.sky or 'usual sky'}{rain}{wind}, {said}"


def series_words(series: Series) -> list[str]:
    """Give a series as lines."""
    rows = [series_cells(one) for one in series.days]
    return ["Days as a series", *table(SERIES_HEAD, rows), *series_notes(series)]


def series_line(series: Series) -> str:
    """Give a series in one sentence, for where there is no room for a table; free days are left out."""
    parts: list[str] = []
    before = ""
    for one in series.days:
        if one.doing is Doing.FREE:
            continue
        half = f" {one.at.session.when}" if one.at is not None and one.at.session is not None else ""
        what = (
            f"{'set up' if one.doing is Doing.SET_UP else 'sit'} {one.log} {one.side} {distance(one.distance_m)}{half}"
        )
        day = f"{one.day:%a %d %b}"
        if what == before:
            parts[-1] += f", {day}"
        else:
            parts.append(f"{what}: {day}")
        before = what
    return "Days as a series: " + ("; ".join(parts) or series_notes(series)[0].rstrip(".")) + "."


def series_notes(series: Series) -> list[str]:
    """Say what the series rests on, and when most males display."""
    ahead = int(hours_table()["series"]["set_up_days_before"])
    rule = f"The hide goes up {ahead} days before. {rest_words()}"
    late = "Between an evening and the next morning nobody sleeps enough: they never follow each other."
    days = [one.day for one in series.days if one.doing is not Doing.SET_UP]
    within = bool(days) and min(days) <= series.peak <= max(days)
    peak = f"Most males display about {series.peak:%d %B}" + ("." if within else ": outside the days asked for.")
    none = "No day of the span is worth sitting: out of season, or too dark before back_by."
    mixed = any(one.at is not None and one.at.session and one.at.session.when == "evening" for one in series.sittings)
    return [*([] if series.sittings else [none]), rule, *([late] if mixed else []), peak]


def rest_words() -> str:
    """Say how often one sits at a log."""
    row, rest = rest_rule()
    return f"At most {row} mornings in a row at one log, then {rest} days of rest."
