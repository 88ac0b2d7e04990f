"""Chooses the features of a layer by their fields: ``highway in ('path', 'track') and not access = 'private'``.

The grammar is read here into a tree, and the filter of the reader is written from the tree alone.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from math import isfinite
from typing import Literal

from hushwalk.errors import InputError, SettingsError

Operator = Literal["=", "!=", "<", "<=", ">", ">="]
Value = str | int | float

OPPOSITE: Mapping[str, str] = {"=": "<>", "!=": "=", "<": ">=", "<=": ">", ">": "<=", ">=": "<"}
"""Definition: what a comparison is when it is not so, as the reader writes it."""

LONGEST = 4000  # judgement: a filter that a person writes is shorter, and the reader's own depth is limited
DEEPEST = 30  # judgement: the same for brackets and `not` inside each other
TAGS = "other_tags"
"""Definition: the column in which the reader of extracts keeps the tags that have none of their own."""

TOKEN = re.compile(
    r"""\s*(?:(?P<text>'(?:[^']|'')*')|(?P<quoted>"(?:[^"]|"")*")
    |(?P<number>[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)(?![\w.])
    |(?P<operator><=|>=|!=|<>|=|<|>)|(?P<mark>[(),])|(?P<word>[^\W\d][\w:]*))""",
    re.VERBOSE,
)


@dataclass(frozen=True)
class Comparison:
    """A field against one value. It holds nowhere where the field is empty, except for ``!=``."""

    field: str
    operator: Operator
    value: Value


@dataclass(frozen=True)
class Among:
    """A field that has one of several values."""

    field: str
    values: tuple[Value, ...]


@dataclass(frozen=True)
class Not:
    """What holds where its part does not."""

    part: "Filter"


@dataclass(frozen=True)
class Joined:
    """Two or more parts, all or one of which must hold."""

    word: Literal["and", "or"]
    parts: tuple["Filter", ...]


Filter = Comparison | Among | Not | Joined


def parse_filter(text: str) -> Filter:
    """Read a filter.

    Raises
    ------
    SettingsError
        With the position in the text, counted from 1, and how to mend it.

    Examples
    --------
    >>> parse_filter("order >= 3")
    Comparison(field='order', operator='>=', value=3)
    """
    if len(text) > LONGEST:
        raise SettingsError(f"a filter of {len(text)} characters is too long; up to {LONGEST} can be read")
    return _Reader(text).whole()


def render(tree: Filter) -> str:
    """Write a filter as a person does; :func:`parse_filter` gives the same tree again.

    Examples
    --------
    >>> render(Among("owner", ("O'Neil", "County")))
    "owner in ('O''Neil', 'County')"
    """
    match tree:
        case Comparison(field, operator, value):
            return f"{_name(field)} {operator} {_literal(value)}"
        case Among(field, values):
            return f"{_name(field)} in ({', '.join(map(_literal, values))})"
        case Not(part):
            return f"not {_bracketed(part)}"
        case Joined(word, parts):
            return f" {word} ".join(map(_bracketed, parts))


def fields_of(tree: Filter) -> tuple[str, ...]:
    """Give the fields that a filter asks for, each once, in its order."""
    match tree:
        case Comparison(field) | Among(field):
            return (field,)
        case Not(part):
            return fields_of(part)
        case Joined(_, parts):
            return tuple(dict.fromkeys(name for part in parts for name in fields_of(part)))


def reader_filter(tree: Filter, types: Mapping[str, str], driver: str) -> str:
    """Write a filter in the language of the reader of layers.

    ``not`` is carried down to the comparisons, so that an empty field means the same in every format; capitals do not
    matter in texts.

    Parameters
    ----------
    tree : of :func:`parse_filter`.
    types : of the fields of the layer by name, as the reader names types: ``"int64"``, ``"object"`` for text.
    driver : name of the format.

    Returns
    -------
    str

    Raises
    ------
    InputError
        If the layer has no such field, or one that cannot be compared with the value.
    """
    alike = " COLLATE NOCASE" if driver in {"GPKG", "SQLite"} else ""  # other readers compare texts so by themselves
    return _Writer(types, alike).written(tree, holds=True)


class _Reader:
    """Reads a filter from left to right."""

    def __init__(self, text: str) -> None:
        self.text, self.tokens, self.depth = text, list(_tokens(text)), 0

    def whole(self) -> Filter:
        tree = self._joined("or")
        kind, word, at = self.tokens[0]
        if kind != "end":
            raise _fault(at, f"{word!r} follows what is complete; join parts with and, or", self.text)
        return tree

    def _joined(self, word: Literal["and", "or"]) -> Filter:
        parts = [self._one(word)]
        while self._takes("word", word):
            parts.append(self._one(word))
        return Joined(word, tuple(parts)) if len(parts) > 1 else parts[0]

    def _one(self, word: str) -> Filter:
        return self._joined("and") if word == "or" else self._part()

    def _part(self) -> Filter:
        self.depth += 1
        if self.depth > DEEPEST:
            raise _fault(self.tokens[0][2], f"more than {DEEPEST} brackets or `not` inside each other", self.text)
        if self._takes("word", "not"):
            part: Filter = Not(self._part())
        elif self._takes("mark", "("):
            part = self._joined("or")
            self._needs(")", "a bracket is not closed; add )")
        else:
            part = self._compared()
        self.depth -= 1
        return part

    def _compared(self) -> Filter:
        kind, word, at = self.tokens[0]
        if kind not in {"word", "quoted"} or (kind == "word" and word.lower() in {"and", "or", "in"}):
            raise _fault(at, f"a field is expected, got {_shown(word)}; write it like highway = 'path'", self.text)
        self.tokens.pop(0)
        field = word if kind == "word" else word[1:-1].replace('""', '"')
        if self._takes("word", "not"):
            if not self._takes("word", "in"):
                raise _fault(self.tokens[0][2], "after a field, `not` stands only before `in`", self.text)
            return Not(self._among(field))
        return self._among(field) if self._takes("word", "in") else self._comparison(field)

    def _comparison(self, field: str) -> Comparison:
        kind, word, at = self.tokens.pop(0)
        if kind != "operator":
            raise _fault(
                at,
                f"after the field {field!r} one of =, !=, <, <=, >, >=, in is expected, got {_shown(word)}",
                self.text,
            )
        operator: Operator = "!=" if word == "<>" else word  # type: ignore[assignment]  # one of TOKEN's
        value = self._value()
        if isinstance(value, str) and operator not in {"=", "!="}:
            raise _fault(
                at, f"{operator} compares numbers; for texts take =, !=, in, or leave out the quotes", self.text
            )
        return Comparison(field, operator, value)

    def _among(self, field: str) -> Among:
        self._needs("(", "after `in` the values stand in brackets, as in ('path', 'track')")
        values = [self._value()]
        while self._takes("mark", ","):
            values.append(self._value())
        self._needs(")", "the list of values is not closed; put commas between them and ) at its end")
        return Among(field, tuple(values))

    def _value(self) -> Value:
        kind, word, at = self.tokens.pop(0)
        if kind == "text":
            return word[1:-1].replace("''", "'")
        if kind != "number":
            hint = "" if kind == "end" else f": '{word.strip(chr(34))}'" if kind in {"word", "quoted"} else ""
            raise _fault(at, f"a number, or a text in single quotes, is expected, got {_shown(word)}{hint}", self.text)
        value = int(word) if re.fullmatch(r"[+-]?\d+", word) else float(word)
        if not isfinite(value) or abs(value) >= 2**63:
            raise _fault(at, f"{word} is too large a number", self.text)
        return value

    def _takes(self, kind: str, word: str) -> bool:
        found = self.tokens[0][0] == kind and self.tokens[0][1].lower() == word
        if found:
            self.tokens.pop(0)
        return found

    def _needs(self, mark: str, mend: str) -> None:
        if not self._takes("mark", mark):
            raise _fault(self.tokens[0][2], mend, self.text)


class _Writer:
    """Writes a filter for a layer with these fields."""

    def __init__(self, types: Mapping[str, str], alike: str) -> None:
        self.types, self.alike = types, alike

    def written(self, tree: Filter, *, holds: bool) -> str:
        match tree:
            case Not(part):
                return self.written(part, holds=not holds)
            case Joined(word, parts):
                joint = " AND " if (word == "and") == holds else " OR "
                return f"({joint.join(self.written(part, holds=holds) for part in parts)})"
            case Among(field, values):
                name, listed = self._column(field, values), ", ".join(map(_literal, values))
                return f"{name} IN ({listed})" if holds else f"({name} IS NULL OR NOT {name} IN ({listed}))"
            case Comparison(field, operator, value):
                name, empty = self._column(field, (value,)), holds == (operator == "!=")
                sign = OPPOSITE[operator] if not holds else "<>" if operator == "!=" else operator
                compared = f"{name} {sign} {_literal(value)}"
                return f"({name} IS NULL OR {compared})" if empty else compared

    def _column(self, field: str, values: tuple[Value, ...]) -> str:
        name = next((n for n in self.types if n == field), None) or next(
            (n for n in self.types if n.lower() == field.lower()), None
        )
        for text in (field, *(v for v in values if isinstance(v, str))):
            if "\\" in text or not text.isprintable() or (text == field and '"' in text):
                raise InputError(f"{text!r} holds a sign that the reader of layers takes for its own; leave it out")
        if name is None and TAGS not in self.types:
            near = get_close_matches(field, list(self.types), n=1)
            hint = f"did you mean {near[0]!r}? " if near else ""
            raise InputError(f"has no field {field!r}; {hint}it has {', '.join(self.types) or 'none'}")
        _check_type(field, "object" if name is None else self.types[name], values)
        column = f'"{name}"' if name is not None else f'HSTORE_GET_VALUE("{TAGS}", {_literal(field)})'
        return column + (self.alike if any(isinstance(v, str) for v in values) else "")


def _check_type(field: str, kind: str, values: tuple[Value, ...]) -> None:
    if not kind.startswith(("object", "int", "uint", "float", "bool")):
        raise InputError(f"has dates or lists in field {field!r}, which `where` does not compare; choose another field")
    text = kind == "object"
    for value in values:
        if text and not isinstance(value, str):
            raise InputError(f"has texts in field {field!r}; put {value} in single quotes, and compare with = or in")
        if not text and isinstance(value, str):
            raise InputError(f"has numbers in field {field!r}; write a number for {value!r}, without quotes")


def _tokens(text: str) -> Iterator[tuple[str, str, int]]:
    at = 0
    while text[at:].strip():
        found = TOKEN.match(text, at)
        if found is None or found.lastgroup is None:
            at += len(text[at:]) - len(text[at:].lstrip())
            mends = {"'": "a quote is not closed; a quote inside a text is doubled ('')", '"': "a quote is not closed"}
            raise _fault(at, mends.get(text[at], f"{text[at]!r} is not known here"), text)
        yield found.lastgroup, found[found.lastgroup], found.start(found.lastgroup)
        at = found.end()
    yield "end", "", len(text)


def _fault(at: int, words: str, text: str) -> SettingsError:
    return SettingsError(f"position {at + 1} of {text!r}: {words}")


def _shown(word: str) -> str:
    return repr(word) if word else "the end"


def _bracketed(part: Filter) -> str:
    return f"({render(part)})" if isinstance(part, Joined) else render(part)


def _name(field: str) -> str:
    plain = re.fullmatch(r"[^\W\d][\w:]*", field) and field.lower() not in {"and", "or", "not", "in"}
    return field if plain else '"' + field.replace('"', '""') + '"'


def _literal(value: Value) -> str:
    return "'" + value.replace("'", "''") + "'" if isinstance(value, str) else repr(value)
