"""Reads trip.toml into settings and says in plain words, with line numbers, what is wrong with it.

What the settings mean lives in settings.py; the commented file that `hushwalk start` writes is starter.py's.
"""

import difflib
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, cast, get_args, get_type_hints
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import TypeAdapter, ValidationError

from hushwalk.errors import SettingsError
from hushwalk.site.forecast import with_forecast
from hushwalk.site.reading.vector_layers import layer_filter
from hushwalk.site.settings import LayerSettings, MorningSettings, TripSettings, keys_of, named_layers
from hushwalk.site.species import path_of_card
from hushwalk.site.time_zone import day_fault, zone_at
from hushwalk.site.toml_lines import Location, key_lines
from hushwalk.site.toml_text import settings_text, tables_of
from hushwalk.text import one_line

FILE_NAMES = {"layer": "layers"}
"""Words of the file that differ from the field: a table array is named in the singular."""
NOT_IN_FILES = {
    "folder": "paths start at the folder of the file",
    "zone_derived": "time_zone under [morning] names the zone, or is left out",
    "forecast": "it is read from forecast.json, which `hushwalk forecast` writes",
}
"""Fields that follow from the file, and what to write instead."""

Noun = TypeVar("Noun")


def read_trip(path: Path) -> TripSettings:
    """Read a trip file.

    Parameters
    ----------
    path : the TOML file.

    Returns
    -------
    TripSettings
        With ``folder`` set to the folder of the file.

    Raises
    ------
    MissingFileError
        If the file is not there.
    SettingsError
        If it is no TOML, or a key or a value cannot be used; every fault is listed, each with its line.
    """
    text = settings_text(path, f"there is no trip file {path}; write one with: hushwalk start {path.parent}")
    settings, folder = parse_trip(text, str(path)), path.resolve().parent
    settings = replace(settings, folder=folder, species=path_of_card(settings.species, folder))
    given = {str(key[1]) for key in key_lines(text) if key[0] == "weather" and len(key) > 1}
    return with_forecast(settings, given)


def parse_trip(text: str, file_name: str = "trip.toml") -> TripSettings:
    """Turn the text of a trip file into settings.

    Raises
    ------
    SettingsError
        As for :func:`read_trip`.
    """
    settings = parse_settings(text, file_name, TripSettings)
    lines = key_lines(text)
    if not settings.morning.time_zone:
        morning = with_zone_of(settings.morning, settings.place.car)
        settings = replace(settings, morning=morning, zone_derived=True)
    faults: list[str] = []
    try:
        check_morning(settings.morning, lines, file_name)
    except SettingsError as fault:
        faults.append(str(fault))
    try:
        check_layers(settings.layers, lines, file_name)
    except SettingsError as fault:
        faults.append(str(fault))
    if faults:
        raise SettingsError(_together(faults, file_name))
    return settings


def _together(faults: Sequence[str], file_name: str) -> str:
    """One message of several: the head once, then a line a fault."""
    if len(faults) == 1:
        return faults[0]
    lines = [line for fault in faults for line in fault.removeprefix(f"{file_name}: ").split("\n  ")]
    plain = [line for line in lines if not line.startswith(f"{file_name} has ")]
    return "\n  ".join([f"{file_name} has {len(plain)} faults:", *plain])


def with_zone_of(morning: MorningSettings, place: str) -> MorningSettings:
    """Take the time zone of a morning from a place.

    Raises
    ------
    PlaceError
        If the place cannot be read.
    """
    from hushwalk.grid.points import parse_place  # noqa: PLC0415 - most files name their zone

    return replace(morning, time_zone=zone_at(*parse_place(place)))


def parse_settings(text: str, file_name: str, noun: type[Noun]) -> Noun:
    """Turn the text of a TOML file into settings of any kind.

    Parameters
    ----------
    text, file_name : what the file says, and how to name it.
    noun : a frozen dataclass; its fields of ``NOT_IN_FILES`` a file may not name.

    Returns
    -------
    the noun that was asked for
        Checked.

    Raises
    ------
    SettingsError
        If it is no TOML, or a key or a value cannot be used; every fault is listed, each with its line.
    """
    tables = tables_of(text, file_name)
    for key in NOT_IN_FILES.keys() & tables.keys():
        raise SettingsError(f"{file_name}: unknown key {key!r}; {NOT_IN_FILES[key]}")
    renamed = {FILE_NAMES.get(key, key): value for key, value in tables.items()}
    try:
        read: Noun = _reader(cast("Any", noun)).validate_json(json.dumps(renamed, default=str))
    except ValidationError as fault:
        raise SettingsError(_words(fault, tables, key_lines(text), file_name, noun)) from None
    return read


@cache
def _reader(noun: Any) -> TypeAdapter[Any]:  # noqa: ANN401  any hashable class of settings
    return TypeAdapter(noun)


def _words(fault: ValidationError, tables: Mapping[str, Any], lines: dict[Location, int], name: str, noun: type) -> str:
    errors = fault.errors()
    faulty = {error["loc"][: len(error["loc"]) - 1] for error in errors}
    # an array whose items are at fault is also called too short, which would only confuse
    relevant = [e for e in errors if not (e["type"] == "too_short" and any(e["loc"] == f[:1] for f in faulty))]
    relevant.sort(key=lambda error: _line(_in_file(error["loc"], tables), lines) or 0)
    unique = list(dict.fromkeys(_one_fault(error, tables, lines, noun) for error in relevant))
    head = f"{name} has {len(unique)} faults:" if len(unique) > 1 else f"{name}:"
    return "\n  ".join([head, *unique]) if len(unique) > 1 else f"{head} {unique[0]}"


def _one_fault(error: Any, tables: Mapping[str, Any], lines: dict[Location, int], noun: type) -> str:  # noqa: ANN401
    location = _in_file(error["loc"], tables)
    where = _where(location, lines)
    label = ".".join(str(part + 1) if isinstance(part, int) else part for part in location)
    kind, context, got = error["type"], error.get("ctx", {}), f"got {one_line(repr(error['input']))}"
    if kind == "unexpected_keyword_argument":
        return f"{where}unknown key {one_line(label)!r}{_nearest(str(location[-1]), error['loc'][:-1], noun)}"
    if kind in {"missing", "missing_argument"}:
        return f"{where}{label!r} is missing; {_meaning(str(location[-1]))}"
    if kind == "literal_error":
        return f"{where}{label} must be one of {context['expected']}, {got}{_close(error)}"
    bounds = {
        "greater_than": "must be above {gt}",
        "greater_than_equal": "must be at least {ge}",
        "less_than": "must be below {lt}",
        "less_than_equal": "must be at most {le}",
        "too_short": "needs at least {min_length} entries",
        "finite_number": "must be a finite number",
    }
    if kind in bounds:
        return f"{where}{label} {bounds[kind].format(**context)}, {got}"
    return (
        f"{where}{label}: {context['error']}"
        if kind == "value_error"
        else f"{where}{label} must be {_expected(kind)}, {got}"
    )


def _expected(kind: str) -> str:
    expected = {
        "float_type": "a number without quotes",
        "int_type": "a whole number without quotes",
        "string_type": "a text in quotes",
        "bool_type": "true or false",
        **dict.fromkeys(("date_type", "date_parsing", "date_from_datetime_parsing"), "a date like 2027-04-25"),
        **dict.fromkeys(("time_type", "time_parsing"), "a time like 09:30:00"),
        **dict.fromkeys(("dict_type", "dataclass_type"), "a table of keys"),
        "tuple_type": "a list in square brackets",
    }
    return expected.get(kind, f"of another form ({kind.replace('_', ' ')})")


def _in_file(loc: Location, tables: Mapping[str, Any]) -> Location:
    back = {field: word for word, field in FILE_NAMES.items()}
    first = back.get(str(loc[0]), loc[0]) if loc else ""
    first = first if first in tables or first not in FILE_NAMES.values() else loc[0]
    return (first, *loc[1:])


def _line(location: Location, lines: dict[Location, int]) -> int | None:
    for length in range(len(location), 0, -1):
        if location[:length] in lines:
            return lines[location[:length]]
    return None


def _where(location: Location, lines: dict[Location, int]) -> str:
    line = _line(location, lines)
    return f"line {line}: " if line else ""


def _known_keys(loc: Location, noun: type) -> list[str]:
    hint: Any = noun
    for part in loc:
        if isinstance(part, int):
            continue
        hint = get_type_hints(hint).get(part)
        while hint is not None and not is_dataclass(hint):
            inner = [arg for arg in get_args(hint) if is_dataclass(arg)]
            if not inner:
                return []
            hint = inner[0]
    back = {field: word for word, field in FILE_NAMES.items()}
    return [back.get(item.name, item.name) for item in fields(hint) if item.name not in NOT_IN_FILES] if hint else []


def _nearest(key: str, table: Location, noun: type) -> str:
    known = _known_keys(table, noun)
    close = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
    if close:
        return f"; did you mean {close[0]!r}?"
    return f"; the keys here are {', '.join(known)}" if known else ""


def _close(error: Any) -> str:  # noqa: ANN401
    allowed = re.findall(r"'([^']+)'", str(error.get("ctx", {}).get("expected", "")))
    close = difflib.get_close_matches(str(error["input"]), allowed, n=1)
    return f"; did you mean {close[0]!r}?" if close else ""


def _meaning(key: str) -> str:
    meaning = {
        "place": "add a [place] table with the name of the place and where the car stands",
        "morning": "add a [morning] table with date and back_by",
        "layers": "add at least one [[layer]] table with kind and path",
        "car": 'say where the car stands, as car = "47.62, -91.70", UTM or USNG',
        "name": 'give it a name, as name = "North ridge"',
        "date": "say which morning, as date = 2027-04-25",
        "back_by": "say when you must be back at the car, as back_by = 09:30:00",
        "kind": 'say what the layer shows, as kind = "elevation"',
        "path": "say which file it is",
        "corners": "give at least three corners, as corners = [[lon, lat], [lon, lat], [lon, lat]]",
    }
    return meaning.get(key, "add it")


def check_layers(layers: Sequence[LayerSettings], lines: dict[Location, int], name: str) -> None:
    """Check that every key of a layer has an effect for its kind, and that its filter can be read.

    Parameters
    ----------
    layers : as the file names them.
    lines : line of each key in the file.
    name : of the file.

    Raises
    ------
    SettingsError
        With every key that has none, and every fault of a filter.
    """
    faults = []
    for number, (label, spec) in enumerate(named_layers(layers)):
        for item in fields(spec):
            if getattr(spec, item.name) != item.default and item.name not in keys_of(spec.kind):
                where = _where(("layer", number, item.name), lines)
                faults.append(
                    f"{name}: {where}{label}: key {item.name!r} has no effect for this kind; take it out; "
                    f"the keys here are {', '.join(keys_of(spec.kind))}"
                )
        try:
            layer_filter(spec, label)
        except SettingsError as fault:
            faults.append(f"{name}: {_where(('layer', number, 'where'), lines)}{fault}")
    if faults:
        raise SettingsError(_together(faults, name))


def check_morning(morning: MorningSettings, lines: dict[Location, int], name: str) -> None:
    """Check what the keys of a morning say together.

    Parameters
    ----------
    morning : what the file says of the morning.
    lines : line of each key in the file.
    name : of the file.

    Raises
    ------
    SettingsError
        If the time zone is none, or two keys contradict each other.
    """
    try:
        ZoneInfo(morning.time_zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        where = _where(("morning", "time_zone"), lines)
        raise SettingsError(
            f"{name}: {where}morning.time_zone {morning.time_zone!r} is not a time zone of the IANA list; "
            "write it like 'America/Chicago' or 'Europe/Oslo'"
        ) from None
    fault = day_fault(morning.date, morning.time_zone)
    if fault:
        raise SettingsError(f"{name}: {_where(('morning', 'date'), lines)}morning.date {morning.date} {fault}")
    if morning.minutes_per_stop_min > morning.minutes_per_stop_max:
        where = _where(("morning", "minutes_per_stop_min"), lines)
        raise SettingsError(
            f"{name}: {where}morning.minutes_per_stop_min ({morning.minutes_per_stop_min}) is above "
            f"morning.minutes_per_stop_max ({morning.minutes_per_stop_max}); swap them"
        )
    if morning.leave_not_before is not None and morning.leave_not_before >= morning.back_by:
        where = _where(("morning", "leave_not_before"), lines)
        raise SettingsError(
            f"{name}: {where}morning.leave_not_before is not before morning.back_by ({morning.back_by}); "
            "both are times of the same morning"
        )
    _check_way(morning, lines, name)


def _check_way(morning: MorningSettings, lines: dict[Location, int], name: str) -> None:
    """Refuse minutes for closing in on a morning without it, and closing in without minutes."""
    minutes = morning.closing_in_minutes
    if morning.way is None or minutes is None or (minutes > 0) == (morning.way == "listen and close in"):
        return
    where = _where(("morning", "closing_in_minutes"), lines)
    mend = "give it minutes, or leave the key out" if minutes == 0 else "set it to 0, or leave one of the two out"
    raise SettingsError(
        f'{name}: {where}morning.closing_in_minutes is {minutes}, but morning.way is "{morning.way}"; {mend}'
    )
