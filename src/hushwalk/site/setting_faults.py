"""Says in plain words what is wrong with a value of a settings file, or of settings that are made in Python.

What the settings mean lives in settings.py; reading files is trip_file.py's business.
"""

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any, get_args, get_type_hints

from pydantic import ValidationError

from hushwalk.site.toml_lines import Location
from hushwalk.text import one_line

FILE_NAMES = {"layer": "layers"}
"""Words of the file that differ from the field: a table array is named in the singular."""
NOT_IN_FILES = {
    "folder": "paths start at the folder of the file",
    "zone_derived": "time_zone under [morning] names the zone, or is left out",
    "forecast": "it is read from forecast.json, which `hushwalk forecast` writes",
}
"""Fields that follow from the file, and what to write instead."""
NO_LINES: Mapping[Location, int] = {}


def fault_words(
    fault: ValidationError,
    noun: type,
    name: str,
    tables: Mapping[str, Any] | None = None,
    lines: Mapping[Location, int] = NO_LINES,
) -> str:
    """Say everything that is wrong, each fault with its line where there are lines.

    Parameters
    ----------
    fault : what the library that checks values found.
    noun : class of the settings.
    name : of the file, or of the class where settings are made in Python.
    tables : of the file, by whose words keys are called; None in Python.
    lines : line of each key in the file.

    Returns
    -------
    str
        One line a fault, and a head where there are several.
    """
    errors = fault.errors()
    faulty = {error["loc"][: len(error["loc"]) - 1] for error in errors}
    # an array whose items are at fault is also called too short, which would only confuse
    relevant = [e for e in errors if not (e["type"] == "too_short" and any(e["loc"] == f[:1] for f in faulty))]
    relevant.sort(key=lambda error: _line(_in_file(error["loc"], tables), lines) or 0)
    return listed([f"{name}: {words}" for words in (_one_fault(e, tables, lines, noun) for e in relevant)], name)


def listed(faults: Sequence[str], name: str) -> str:
    """One message of several, each of which begins with the name: the head once, then a line a fault.

    Examples
    --------
    >>> print(listed(["a.toml: this", "a.toml: that", "a.toml: this"], "a.toml"))
    a.toml has 2 faults:
      this
      that
    """
    lines = [line for fault in faults for line in fault.removeprefix(f"{name}: ").split("\n  ")]
    plain = list(dict.fromkeys(line for line in lines if not line.startswith(f"{name} has ")))
    return f"{name}: {plain[0]}" if len(plain) == 1 else "\n  ".join([f"{name} has {len(plain)} faults:", *plain])


def where_words(location: Location, lines: Mapping[Location, int]) -> str:
    """Say on which line a key stands; nothing where that is not known."""
    line = _line(location, lines)
    return f"line {line}: " if line else ""


def _one_fault(error: Any, tables: Mapping[str, Any] | None, lines: Mapping[Location, int], noun: type) -> str:  # noqa: ANN401
    location = _in_file(error["loc"], tables)
    where = where_words(location, lines)
    label = ".".join(str(part + 1) if isinstance(part, int) else part for part in location)
    kind, context, got = error["type"], error.get("ctx", {}), f"got {one_line(repr(error['input']))}"
    if kind == "unexpected_keyword_argument":
        return f"{where}unknown key {one_line(label)!r}{_nearest(str(location[-1]), error['loc'][:-1], noun)}"
    if kind in {"missing", "missing_argument"}:
        return f"{where}{label!r} is missing; {_meaning(str(location[-1]))}"
    if kind == "literal_error":
        return f"{where}{label} must be one of {context['expected']}, {got}{_close(error)}"
    bounds = {
        "greater_than": "must be above {gt:.15g}",
        "greater_than_equal": "must be at least {ge:.15g}",
        "less_than": "must be below {lt:.15g}",
        "less_than_equal": "must be at most {le:.15g}",
        "too_short": "needs at least {min_length} entries",
        "finite_number": "must be a finite number",
    }
    if kind in bounds:
        return f"{where}{label} {bounds[kind].format(**context)}, {got}"
    if kind == "value_error":
        said = str(context["error"])
        return f"{where}{said}" if said.startswith(f"{label}.") else f"{where}{label}: {said}"
    return f"{where}{label} must be {_expected(kind, context)}, {got}"


def _expected(kind: str, context: Mapping[str, Any]) -> str:
    expected = {
        "float_type": "a number without quotes",
        "int_type": "a whole number without quotes",
        "string_type": "a text in quotes",
        "bool_type": "true or false",
        **dict.fromkeys(("date_type", "date_parsing", "date_from_datetime_parsing"), "a date like 2027-04-25"),
        **dict.fromkeys(("time_type", "time_parsing"), "a time like 09:30:00"),
        **dict.fromkeys(("dict_type", "dataclass_type"), "a table of keys"),
        "tuple_type": "a list in square brackets",
        "dataclass_exact_type": f"a {context.get('class_name')}",
        "is_instance_of": f"a {context.get('class')}",
    }
    return expected.get(kind, f"of another form ({kind.replace('_', ' ')})")


def _in_file(loc: Location, tables: Mapping[str, Any] | None) -> Location:
    if tables is None:
        return loc
    back = {field: word for word, field in FILE_NAMES.items()}
    first = back.get(str(loc[0]), loc[0]) if loc else ""
    first = first if first in tables or first not in FILE_NAMES.values() else loc[0]
    return (first, *loc[1:])


def _line(location: Location, lines: Mapping[Location, int]) -> int | None:
    for length in range(len(location), 0, -1):
        if location[:length] in lines:
            return lines[location[:length]]
    return None


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
