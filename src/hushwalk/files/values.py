"""Values of the program as one file that runs no code when it is read: arrays as NPZ, the tree of values as JSON.

What is kept, and for how long, is the business of those who keep it.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime, time, timedelta, timezone
from enum import Enum
from importlib import import_module
from pathlib import Path
from types import MappingProxyType
from typing import IO, Any
from zoneinfo import ZoneInfo

import numpy as np
import shapely
from scipy.sparse import csr_array

from hushwalk.errors import InputError
from hushwalk.types import AnyArray

TREE = "tree"
PACKAGE = "hushwalk."
Node = Any
"""What JSON holds: a plain value, or a list that begins with the name of its form."""


def write_values(file: IO[bytes], value: object) -> None:
    """Write a value that is made of plain values, arrays, shapes and dataclasses of this program.

    Parameters
    ----------
    file : open for writing bytes.
    value : to be written; whatever stands in it twice is written once.

    Raises
    ------
    InputError
        If something in it has no form here.
    """
    writer = _Writer()
    tree = json.dumps(writer.node(value))
    np.savez(file, allow_pickle=False, **{TREE: np.frombuffer(tree.encode(), np.uint8)}, **writer.arrays)


def read_values(file: IO[bytes]) -> object:
    """Read a value back, every dataclass made and checked anew.

    Parameters
    ----------
    file : open for reading bytes.

    Raises
    ------
    InputError
        If the file is not one of :func:`write_values`, or names anything but a dataclass of this program.
    """
    try:
        with np.load(file, allow_pickle=False) as arrays:
            return _Reader(arrays).value(json.loads(arrays[TREE].tobytes()))
    except InputError:
        raise
    except Exception as fault:
        raise InputError(f"the file holds no values of this program: {type(fault).__name__}: {fault}") from fault


def _class_of(name: str) -> type[Any]:
    """Give a dataclass, named tuple or enumeration of this program, and nothing else, by its name."""
    module, _, path = name.partition(":")
    if not module.startswith(PACKAGE) or module.endswith("__main__"):  # loading that one would run the program
        raise InputError(f"{name!r} is no value of this program")
    found: object = import_module(module)
    for part in path.split("."):
        found = getattr(found, part)
    if isinstance(found, type) and found.__module__ == module and _is_value(found):
        return found
    raise InputError(f"{name!r} is no value of this program")


def _is_value(kind: type[Any]) -> bool:
    return is_dataclass(kind) or issubclass(kind, Enum) or (issubclass(kind, tuple) and hasattr(kind, "_fields"))


def _name_of(kind: type[Any]) -> str:
    name = f"{kind.__module__}:{kind.__qualname__}"
    _class_of(name)
    return name


class _Writer:
    """The tree of a value, and the arrays that it points to."""

    def __init__(self) -> None:
        self.arrays: dict[str, AnyArray] = {}
        self.seen: dict[int, int] = {}
        self.alive: list[object] = []

    def node(self, value: object) -> Node:
        """Give the node of a value."""
        if value is None or type(value) in {bool, int, float, str}:
            return value
        if id(value) in self.seen:
            return ["again", self.seen[id(value)]]
        form = self._form(value)
        self.seen[id(value)] = len(self.seen)
        self.alive.append(value)  # an object that is gone could leave its id to another
        return form

    def _form(self, value: object) -> Node:  # noqa: PLR0911 - one form a line
        if is_dataclass(value) and not isinstance(value, type):
            own = {f.name: self.node(getattr(value, f.name)) for f in fields(value) if f.init}
            return ["made", _name_of(type(value)), own]
        if isinstance(value, Enum):
            return ["enum", _name_of(type(value)), value.name]
        if isinstance(value, tuple):
            if hasattr(value, "_fields"):
                return ["named", _name_of(type(value)), [self.node(one) for one in value]]
            return ["tuple", [self.node(one) for one in value]]
        if isinstance(value, list):
            return ["list", [self.node(one) for one in value]]
        if isinstance(value, frozenset | set):
            return [type(value).__name__, [self.node(one) for one in sorted(value, key=repr)]]
        if isinstance(value, Mapping):
            kind = "view" if isinstance(value, MappingProxyType) else "dict"
            return [kind, [[self.node(key), self.node(one)] for key, one in value.items()]]
        if isinstance(value, bytes):
            return ["bytes", self._array(np.frombuffer(value, np.uint8))]
        if isinstance(value, np.ndarray | np.generic | csr_array | shapely.Geometry):
            return self._numbers(value)
        return self._moment(value)

    def _numbers(self, value: object) -> Node:
        if isinstance(value, csr_array):
            return ["csr", list(value.shape), *(self.node(part) for part in (value.data, value.indices, value.indptr))]
        if isinstance(value, shapely.Geometry):
            return ["shape", self._array(np.frombuffer(shapely.to_wkb(value), np.uint8))]
        if isinstance(value, np.generic):
            return ["number", self._array(np.asarray(value))]
        if not isinstance(value, np.ndarray) or value.dtype.hasobject:
            raise InputError("an array of objects has no form in a file")
        return ["array", self._array(value), bool(value.flags.writeable)]

    def _array(self, array: AnyArray) -> str:
        name = f"a{len(self.arrays)}"
        self.arrays[name] = array
        return name

    def _moment(self, value: object) -> Node:
        if isinstance(value, datetime):
            return ["datetime", value.replace(tzinfo=None).isoformat(), self.node(value.tzinfo), value.fold]
        if isinstance(value, date | time):
            return [type(value).__name__, value.isoformat()]
        if isinstance(value, timedelta):
            return ["timedelta", value.days, value.seconds, value.microseconds]
        if isinstance(value, ZoneInfo) and value.key:
            return ["zone", value.key]
        if isinstance(value, timezone):
            offset = value.utcoffset(None)
            return ["offset", offset.total_seconds()]
        if isinstance(value, Path):
            return ["path", str(value)]
        raise InputError(f"a {type(value).__name__} has no form in a file")


class _Reader:
    """Values of a tree, made in the order in which they were written."""

    def __init__(self, arrays: Mapping[str, AnyArray]) -> None:
        self.arrays = arrays
        self.made: list[object] = []

    def value(self, node: Node) -> object:
        """Give the value of a node."""
        if not isinstance(node, list):
            return node
        form, *parts = node
        if form == "again":
            return self.made[parts[0]]
        value = FORMS[form](self, *parts)
        self.made.append(value)
        return value

    def values(self, nodes: list[Node]) -> list[Any]:
        """Give the values of several nodes."""
        return [self.value(node) for node in nodes]

    def pairs(self, nodes: list[list[Node]]) -> dict[Any, Any]:
        """Give a dictionary from pairs of nodes."""
        return {self.value(key): self.value(one) for key, one in nodes}

    def dataclass(self, name: str, own: dict[str, Node]) -> object:
        """Make a dataclass; it checks itself."""
        kind = _class_of(name)
        return kind(**{key: self.value(one) for key, one in own.items()})

    def array(self, name: str, writeable: bool) -> AnyArray:
        """Give an array, as open to change as it was."""
        array = self.arrays[name]
        array.flags.writeable = writeable
        return array

    def sparse(self, shape: list[int], data: Node, indices: Node, starts: Node) -> object:
        """Give a sparse matrix by rows."""
        return csr_array((self.value(data), self.value(indices), self.value(starts)), shape=tuple(shape))


def _moment(reader: _Reader, text: str, zone: Node, fold: int) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=reader.value(zone), fold=fold)  # type: ignore[arg-type]


FORMS: dict[str, Callable[..., object]] = {
    "made": _Reader.dataclass,
    "enum": lambda _, name, member: _class_of(name)[member],
    "named": lambda reader, name, parts: _class_of(name)(*reader.values(parts)),
    "tuple": lambda reader, parts: tuple(reader.values(parts)),
    "list": _Reader.values,
    "set": lambda reader, parts: set(reader.values(parts)),
    "frozenset": lambda reader, parts: frozenset(reader.values(parts)),
    "dict": _Reader.pairs,
    "view": lambda reader, parts: MappingProxyType(reader.pairs(parts)),
    "array": _Reader.array,
    "number": lambda reader, name: reader.arrays[name][()],
    "bytes": lambda reader, name: reader.arrays[name].tobytes(),
    "csr": _Reader.sparse,
    "shape": lambda reader, name: shapely.from_wkb(reader.arrays[name].tobytes()),
    "datetime": _moment,
    "date": lambda _, text: date.fromisoformat(text),
    "time": lambda _, text: time.fromisoformat(text),
    "timedelta": lambda _, days, seconds, micro: timedelta(days, seconds, micro),
    "zone": lambda _, key: ZoneInfo(key),
    "offset": lambda _, seconds: timezone(timedelta(seconds=seconds)),
    "path": lambda _, text: Path(text),
}
