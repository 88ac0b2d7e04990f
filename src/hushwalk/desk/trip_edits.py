"""What the desk changes in a trip file: the keys that a person would write, with remarks and order kept.

What the keys mean is site/settings.py's; the text is checked there too before anything is kept.
"""

from collections.abc import Callable, Sequence
from datetime import date, time
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, Table

from hushwalk.errors import SettingsError
from hushwalk.text import one_line

Trip = tomlkit.TOMLDocument
Said = dict[str, Any]
"""Definition: what the page says of a change."""
PLACE_DIGITS = 6  # definition: a decimetre, as on the map
WISHED = ("must", "must_not", "not_across")


def edited(text: str, kind: str, said: Said) -> str:
    """Give the text of a trip file with one change.

    Parameters
    ----------
    text : of the trip file.
    kind : of the change, a key of ``CHANGES``.
    said : what the page says of it.

    Returns
    -------
    str
        The new text; what is not changed is as it was, to the letter.

    Raises
    ------
    SettingsError
        If the text is no TOML, there is no such change, or what is said of it cannot be used.
    """
    change = CHANGES.get(kind)
    if change is None:
        raise SettingsError(f"the desk knows no change {one_line(kind)!r}")
    try:
        trip = tomlkit.parse(text)
    except TOMLKitError as fault:
        raise SettingsError(f"the trip file has a fault, mend it there first: {fault}") from None
    try:
        change(trip, said)
    except (KeyError, TypeError, ValueError, IndexError, AttributeError) as fault:
        if isinstance(fault, SettingsError):
            raise
        raise SettingsError(f"the change {kind!r} cannot be made of what was said ({one_line(str(fault))})") from None
    return tomlkit.dumps(trip)


def place_text(at: Sequence[float]) -> str:
    """Write a place of the map, latitude first, as a person would.

    Examples
    --------
    >>> place_text([47.384, -90.361])
    '47.384000, -90.361000'
    """
    lat, lon = (float(one) for one in at)
    return f"{lat:.{PLACE_DIGITS}f}, {lon:.{PLACE_DIGITS}f}"


def _table(trip: Trip, name: str) -> Table:
    if name not in trip:
        trip[name] = tomlkit.table()
    found = trip[name]
    if not isinstance(found, Table):
        raise SettingsError(f"[{name}] is no table in the trip file; mend it there first")
    return found


def _list(trip: Trip, key: str) -> Array:
    wishes = _table(trip, "wishes")
    if key not in wishes:
        wishes[key] = tomlkit.array()
    found = wishes[key]
    if not isinstance(found, Array):
        raise SettingsError(f"wishes.{key} is no list in the trip file; mend it there first")
    return found


def _tidy(trip: Trip) -> None:
    """Take out lists of wishes that are empty again, and the table with them."""
    wishes = trip.get("wishes")
    if not isinstance(wishes, Table):
        return
    for key in WISHED:
        if key in wishes and not wishes[key]:
            wishes.remove(key)
    if not wishes:
        trip.remove("wishes")


def _add_stop(trip: Trip, said: Said) -> None:
    _list(trip, "must").append(place_text(said["at"]))


def _move_stop(trip: Trip, said: Said) -> None:
    """A stop that was locked is moved in its place; one that was planned becomes a locked one there."""
    must, number = _list(trip, "must"), said.get("must")
    if number is None:
        must.append(place_text(said["at"]))
    else:
        must[int(number)] = place_text(said["at"])


def _unlock_stop(trip: Trip, said: Said) -> None:
    _list(trip, "must").pop(int(said["must"]))
    _tidy(trip)


def _forbid_stop(trip: Trip, said: Said) -> None:
    if said.get("must") is not None:
        _list(trip, "must").pop(int(said["must"]))
    _list(trip, "must_not").append(place_text(said["at"]))
    _tidy(trip)


def _allow_stop(trip: Trip, said: Said) -> None:
    _list(trip, "must_not").pop(int(said["must_not"]))
    _tidy(trip)


def _lock_stops(trip: Trip, said: Said) -> None:
    must = _list(trip, "must")
    for at in said["places"]:
        must.append(place_text(at))


def _add_line(trip: Trip, said: Said) -> None:
    places = [place_text(at) for at in said["places"]]
    _list(trip, "not_across").append(places)


def _remove_line(trip: Trip, said: Said) -> None:
    _list(trip, "not_across").pop(int(said["line"]))
    _tidy(trip)


def _close_ground(trip: Trip, said: Said) -> None:
    """Corners stand as longitude and latitude, as settings.ClosedSettings has them."""
    if "closed" not in trip:
        trip["closed"] = tomlkit.aot()
    grounds = trip["closed"]
    if not isinstance(grounds, AoT):
        raise SettingsError("[[closed]] is no list of tables in the trip file; mend it there first")
    table = tomlkit.table()
    table["name"] = one_line(str(said.get("name") or "closed on the desk"))
    table["corners"] = [
        [round(float(lon), PLACE_DIGITS), round(float(lat), PLACE_DIGITS)] for lat, lon in said["places"]
    ]
    grounds.append(table)


def _open_ground(trip: Trip, said: Said) -> None:
    grounds = trip["closed"]
    if not isinstance(grounds, AoT):
        raise SettingsError("[[closed]] is no list of tables in the trip file; mend it there first")
    del grounds[int(said["closed"])]
    if not grounds:
        trip.remove("closed")


def _set_hours(trip: Trip, said: Said) -> None:
    morning = _table(trip, "morning")
    if said.get("date"):
        morning["date"] = date.fromisoformat(said["date"])
    if said.get("back_by"):
        morning["back_by"] = time.fromisoformat(said["back_by"])
    if "leave_not_before" in said:
        if said["leave_not_before"]:
            morning["leave_not_before"] = time.fromisoformat(said["leave_not_before"])
        elif "leave_not_before" in morning:
            morning.remove("leave_not_before")


def _set_reserve(trip: Trip, said: Said) -> None:
    _table(trip, "walker")["reserve"] = round(float(said["reserve"]), 3)


def _set_wind(trip: Trip, said: Said) -> None:
    """The wind at the ear takes the place of a forecast wind that a person wrote: the file may hold one of the two."""
    weather = _table(trip, "weather")
    for key in [key for key in weather if key.startswith("forecast_wind_")]:
        weather.remove(key)
    weather["wind_at_ear_ms"] = round(float(said["wind_at_ear_ms"]), 2)


def _set_car(trip: Trip, said: Said) -> None:
    _table(trip, "place")["car"] = place_text(said["at"])


def _set_shorter(trip: Trip, said: Said) -> None:
    _table(trip, "wishes")["shorter_minutes"] = int(said["minutes"])


def _set_start(trip: Trip, said: Said) -> None:
    wishes = _table(trip, "wishes")
    if said.get("at") is not None:
        wishes["start"] = place_text(said["at"])
    elif "start" in wishes:
        wishes.remove("start")
    _tidy(trip)


CHANGES: dict[str, Callable[[Trip, Said], None]] = {
    "add stop": _add_stop,
    "move stop": _move_stop,
    "lock stop": _add_stop,
    "lock stops": _lock_stops,
    "unlock stop": _unlock_stop,
    "forbid stop": _forbid_stop,
    "allow stop": _allow_stop,
    "add line": _add_line,
    "remove line": _remove_line,
    "close ground": _close_ground,
    "open ground": _open_ground,
    "set hours": _set_hours,
    "set reserve": _set_reserve,
    "set wind": _set_wind,
    "set car": _set_car,
    "set shorter": _set_shorter,
    "set start": _set_start,
}
"""Every change by the name that the page and the history use."""
