"""One log in full for the terminal: where to sit, lenses, light, the shot list, the days, cautions.

The phrases are those of filming_words.py and shot_words.py.
"""

from hushwalk.filming.session_report import LogPlan, SessionReport
from hushwalk.wording.filming_words import (
    DAY_HEAD,
    DOUBT,
    FRAMING_HEAD,
    caution_words,
    compass,
    day_cells,
    day_title,
    framing_cells,
    hhmm,
    iso_words,
    leave_rule,
    light_in_words,
    light_words,
    notice_words,
    picture_words,
    possible_words,
    room_words,
    shutter_words,
    sight_words,
    sun_words,
    table,
    walk_words,
)
from hushwalk.wording.log_words import side_words
from hushwalk.wording.measures import distance
from hushwalk.wording.shot_words import shot_list_words


def log_words(report: SessionReport, plan: LogPlan) -> str:
    """Describe one log in full.

    Returns
    -------
    str
        Where to sit, which lens, light, pictures, the days ranked, cautions.
    """
    lines = [f"{plan.name}: {plan.place.usng}", *_best_words(report, plan), "", "Where to sit (best first)"]
    lines += [f"  {side.name:<2} {side.score:.2f}  {side_words(side)}" for side in plan.sides]
    lines += ["", f"Lenses from there, {room_words(plan)}", *table(FRAMING_HEAD, framing_cells(plan))]
    lines += _exposure_words(report, plan)
    lines += ["", "Days"]
    lines += table(DAY_HEAD, [day_cells(day) for day in plan.days])
    lines += shot_list_words(plan)
    lines += ["", leave_rule(), *(f"note: {words}" for words in notice_words(report, plan)), "", "Cautions"]
    lines += [f"  {words}" for words in caution_words(report)]
    return "\n".join(lines)


def _best_words(report: SessionReport, plan: LogPlan) -> list[str]:
    walk = walk_words(plan, evening=report.evening)
    if plan.best is None or plan.best.session is None:
        return [day_title(plan), walk]
    session = plan.best.session
    hour = f"best hour {hhmm(session.best[0])} to {hhmm(session.best[1])}"
    times = f"leave the car by {hhmm(session.leave_car_by)}, in the hide by {hhmm(session.in_hide_by)}"
    ends = f"leave the hide by {hhmm(session.until)}, at the car {hhmm(session.back_at)}"
    side = plan.side
    return [
        f"{day_title(plan)}: {times}, {hour}, {ends}",
        walk,
        f"sun on the log: {sun_words(plan, plan.best)}; {light_words(plan.best)}",
        f"sit in the {side.name} at {distance(side.distance_m)}, lens along {compass(report, side.lens_deg)}",
        sight_words(plan.sight),
    ]


def _exposure_words(report: SessionReport, plan: LogPlan) -> list[str]:
    if plan.best is None:
        return []
    head = [
        "picture",
        "f/",
        "shutter",
        *(hhmm(t) for t in plan.exposure_times),
        f"possible at ISO {report.iso_max:.0f}",
    ]
    rows = [
        [
            picture_words(row),
            f"{row.chance.shot.f_number:.1f}",
            shutter_words(row.chance.shot.shutter_s),
            *(iso_words(middle) for middle, _, _ in row.iso),
            possible_words(row, plan.best),
        ]
        for row in plan.exposure
    ]
    title = f"ISO needed on his side towards you, {light_in_words(report, plan)}; {DOUBT}"
    return ["", title, *table(head, rows)]
