"""Reads codes of the wetland inventory by their grammar: system, class, subclass, water regime, what was done.

``PFO4/1Eh`` is palustrine, forested, needle-leaved evergreen and broad-leaved deciduous, seasonally flooded, diked.
"""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

CODE = re.compile(
    r"(?P<system>[MERLP])(?P<subsystem>[1-5]?)"
    r"(?P<class>RB|UB|AB|RF|OW|US|SB|RS|ML|EM|SS|FO)(?P<subclass>[1-8]?)"
    r"(?:/(?P<class2>RB|UB|AB|RF|OW|US|SB|RS|ML|EM|SS|FO)?(?P<subclass2>[1-8]?))?"
    r"(?P<regime>[A-HJKLMNPRSTQUV]?)(?P<modifiers>[abdfghimnrstx0-9]*)"
)
"""Definition: the grammar of a code."""

FARMED = re.compile(r"Pf[A-Z]?[a-z]*")
"""Definition: farmed wetland has no class."""

SUBSYSTEMS = {"M": "12", "E": "12", "R": "12345", "L": "12", "P": ""}
"""Definition: which subsystems a system has."""

ALIKE = {"0": "O", "O": "0", "I": "1", "L": "1"}
"""Judgement: figures and letters that are taken for each other."""

EMPTY = frozenset({"", "none", "nan"})
"""Definition: what an empty field reads as."""

BARE_CLASS = 13  # definition: class of the legend for shores and stream beds
NAMED = 8  # judgement: as many codes as a message names

WATER = frozenset({"RB", "UB", "AB", "RF", "OW"})
"""Definition: classes under water."""

BARE = frozenset({"US", "SB", "RS"})
"""Definition: classes that fall dry."""

SHORT = frozenset({"A", "J"})
"""Definition: water regimes that flood for a short time."""


@dataclass(frozen=True)
class WetlandCode:
    """What a code says.

    Parameters
    ----------
    system, subsystem : letter and figure.
    classes, subclasses : the first and, after a slash, the second.
    regime, modifiers : letters, empty where they are not given.
    misspelt : whether a letter was taken for a figure or the other way round.
    """

    system: str
    subsystem: str
    classes: tuple[str, ...]
    subclasses: tuple[str, ...]
    regime: str
    modifiers: str
    misspelt: bool = False

    @property
    def is_water(self) -> bool:
        """Whether it is open water rather than a wetland."""
        return self.classes[:1] != () and self.classes[0] in WATER and not {"FO", "SS", "EM"} & set(self.classes)


@cache
def wetland_code(text: str) -> WetlandCode | None:
    """Read one code.

    Returns
    -------
    WetlandCode or None
        None if it is no code, not even a misspelt one.

    Examples
    --------
    >>> wetland_code("PFO4/1Eh").subclasses
    ('4', '1')
    >>> wetland_code("PF01E").misspelt
    True
    """
    plain = text.strip()
    if FARMED.fullmatch(plain):
        return WetlandCode("P", "", (), (), "", "f")
    found = _parsed(plain)
    if found is not None:
        return _code(found, misspelt=False)
    for at, sign in enumerate(plain):
        other = _parsed(plain[:at] + ALIKE[sign] + plain[at + 1 :]) if sign in ALIKE else None
        if other is not None:
            return _code(other, misspelt=True)
    capital = _parsed(plain.upper())
    return None if capital is None else _code(capital, misspelt=True)


def wetland_class(code: WetlandCode) -> int:
    """Class of the legend ``nwi`` that a code belongs to."""
    if not code.classes:
        return 14
    first, leaves = code.classes[0], set(code.subclasses) - {""}
    if code.is_water:
        return 1
    if first in WATER and len(code.classes) > 1:  # water among dead trees or shrubs
        first = code.classes[1]
    if first in BARE:
        return BARE_CLASS
    if first == "FO":
        return _forested(code, leaves)
    if first == "SS":
        return 4 if "1" in leaves else 5 if leaves & {"2", "4"} else 6 if "3" in leaves else 7
    return 3 if first == "ML" else 2


def misspelt_words(codes: Sequence[str], label: str) -> tuple[str, ...]:
    """Name the codes of a layer that are misspelt, and those that cannot be read.

    Parameters
    ----------
    codes : one a feature; empty where it has none.
    label : of the layer.

    Returns
    -------
    tuple of str
        Messages, none where all can be read.
    """
    counts = Counter(code.strip() for code in codes)
    empty = sum(n for code, n in counts.items() if code.lower() in EMPTY)
    given = {code: n for code, n in counts.items() if code.lower() not in EMPTY}
    odd = {code: n for code, n in given.items() if (read := wetland_code(code)) is not None and read.misspelt}
    foreign = {code: n for code, n in given.items() if wetland_code(code) is None}
    lines = []
    if odd:
        lines.append(f"{label}: {_listed(odd)} is misspelt, a figure for a letter or the like, and was read as meant")
    if foreign:
        lines.append(f"{label}: {_listed(foreign)} is no code of the wetland inventory and was taken as unknown")
    if empty:
        lines.append(f"{label}: {empty} features without a code were taken as unknown")
    return tuple(lines)


def _listed(codes: Mapping[str, int]) -> str:
    found = [f"{code!r} ({n} times)" if n > 1 else repr(code) for code, n in codes.items()]
    return ", ".join(found[:NAMED]) + (", ..." if len(found) > NAMED else "")


def _forested(code: WetlandCode, leaves: set[str]) -> int:
    broad, needle = bool(leaves & {"1", "3", "6"}), bool(leaves & {"2", "4", "7"})
    if broad and needle:
        return 11
    if broad:
        return 12 if code.regime in SHORT else 8
    return 9 if needle else 10


def _parsed(text: str) -> re.Match[str] | None:
    found = CODE.fullmatch(text)
    if found is None or (found["subsystem"] and found["subsystem"] not in SUBSYSTEMS[found["system"]]):
        return None
    return found


def _code(found: re.Match[str], *, misspelt: bool) -> WetlandCode:
    classes = (found["class"], *([found["class2"]] if found["class2"] else []))
    subclasses = (found["subclass"], *([found["subclass2"]] if found["subclass2"] else []))
    return WetlandCode(
        found["system"], found["subsystem"], classes, subclasses, found["regime"], found["modifiers"], misspelt
    )
