"""What the desk says of changes to a trip and of what they gain or cost.

Which changes there are is desk/trip_edits.py's business.
"""

from datetime import datetime
from typing import Any

from hushwalk.site.car_place import FAR_M, NearestRoad
from hushwalk.site.place_facts import PlaceFacts
from hushwalk.text import counted, one_line
from hushwalk.wording.formats import clock, compass_point, percent
from hushwalk.wording.measures import distance, route, speed

CHANGED_OUTSIDE = "changed outside the desk"
FOUND = "as it was found"
PHONE_WARNING = (
    "everybody on this network who has the address can open what was written, and nothing is encrypted; use it "
    "at home, and end the desk afterwards"
)
ALIKE_MALES = 0.005  # judgement: males are said to two places here, where one shapes a walk stop by stop
WORDS = {
    "add stop": "a stop added",
    "move stop": "a stop moved",
    "lock stop": "a stop locked",
    "unlock stop": "a stop unlocked",
    "forbid stop": "no stop there",
    "allow stop": "a stop there allowed again",
    "add line": "a line that nobody crosses",
    "remove line": "a line taken away",
    "close ground": "ground closed",
    "open ground": "ground opened",
    "set car": "the car moved",
    "set start": "where you are set down",
}
MEASURED = {
    "set reserve": ("reserve", "reserve on legs {:.0%}"),
    "set shorter": ("minutes", "back {:.0f} min sooner"),
}
"""Changes of one number: its key, and how it is said."""


def change_words(kind: str, said: dict[str, Any]) -> str:
    """Say what was changed, for the history."""
    if kind == "lock stops":
        return f"{counted(len(said.get('places', ())), 'stop')} locked"
    if kind == "set hours":
        forms = {"date": "on {}", "back_by": "back by {}", "leave_not_before": "not before {}"}
        return ", ".join(form.format(one_line(str(said[key]))) for key, form in forms.items() if said.get(key))
    wind_ms = said.get("wind_at_ear_ms")
    if kind == "set wind" and isinstance(wind_ms, int | float):
        return f"wind at the ear {speed(wind_ms)}"
    values = {key: value for key, value in said.items() if isinstance(value, int | float)}
    if kind in MEASURED and MEASURED[kind][0] in values:
        return MEASURED[kind][1].format(values[MEASURED[kind][0]])
    name = said.get("stop")
    return WORDS.get(kind, kind) + (f" ({one_line(str(name))})" if name else "")


def headline_words(depart: datetime, back: datetime, males: float, stops: int, length_m: float) -> list[list[str]]:
    """Give the figures of a walk that come first, each with what it is.

    Parameters
    ----------
    depart, back : when one leaves, and is back at the car.
    males : expected to be heard.
    stops : how many.
    length_m : of the walk [m].

    Returns
    -------
    list of [str, str]
    """
    return [
        ["leave", clock(depart)],
        ["back", clock(back)],
        ["males expected", f"{males:.2f}"],
        ["stops", f"{stops}"],
        ["walk", route(length_m)],
    ]


def late_words(late_minutes: float, taken_minutes: float) -> str:
    """Say that a walk is back too late, or takes what is kept for closing in [min]; nothing where it does neither."""
    if late_minutes >= 1:
        return f"back {late_minutes:.0f} min too late"
    return f"{taken_minutes:.0f} min of those kept for closing in are gone" if taken_minutes >= 1 else ""


def cost_words(before: dict[str, Any] | None, after: dict[str, Any]) -> str:
    """Say what a change gains or costs in males and minutes; nothing where there is nothing to compare with."""
    if before is None:
        return ""
    males = after["males"] - before["males"]
    minutes = round(after["minutes"]) - round(before["minutes"])
    heard = (
        f"{abs(males):.2f} males {'more' if males > 0 else 'fewer'}" if abs(males) >= ALIKE_MALES else "as many males"
    )
    length = f"{abs(minutes)} min {'longer' if minutes > 0 else 'shorter'}" if minutes else "as long"
    return f"{heard}, {length}"


def place_words(facts: PlaceFacts) -> list[list[str]]:
    """Say what is known of a place without any layer, each with what it is."""
    region, outside = facts.region, facts.region.out_of_range_km
    away = f"; the {facts.species} does not live here, its range ends {route(1000 * (outside or 0.0), 0)} away"
    sunrise = "the sun does not rise" if facts.sunrise is None else clock(facts.sunrise)
    display = f"{percent(facts.season)} of the males that display at the peak, {facts.peak.day} {facts.peak:%B}"
    return [
        ["place", f"{facts.lat_deg:.5f}, {facts.lon_deg:.5f}"],
        ["map grid", facts.usng],
        ["clock", facts.zone],
        ["sunrise", f"{sunrise}, {facts.day:%A} {facts.day.day} {facts.day:%B %Y}"],
        ["region", f"{region.label}{away if outside else ''}"],
        ["season", display],
    ]


def road_words(road: NearestRoad | None, *, in_water: bool) -> str:
    """Say whether a car can stand at a place, as far as the layers show."""
    water = "open water by the layers; " if in_water else ""
    if road is None:
        return f"{water}no layer shows a road here"
    if road.far_m <= FAR_M:
        return f"{water}on or beside a road"
    towards = compass_point(road.azimuth_deg)
    return f"{water}no road within {distance(FAR_M)}: the next one is {distance(road.far_m)} to the {towards}"


def region_drawn_words(name: str, drawn_m: float, ranked_m: float) -> list[str]:
    """Say what the picture of a whole region shows, and where ranking sees more.

    Parameters
    ----------
    name : of the region.
    drawn_m, ranked_m : cells of the picture, and those that ranking looks at [m].

    Returns
    -------
    list of str
    """
    finer = f" in cells of {distance(drawn_m)}; ranking looks at cells of {distance(ranked_m)}"
    return [f"The map shows {name}{finer if drawn_m > ranked_m else ''}."]
