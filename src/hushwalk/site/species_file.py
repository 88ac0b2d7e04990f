"""The shape of a species card on disk, and the words for what is wrong with one.

What a card means is species.py's business; sound and display are the hearing room's.
"""

import tomllib
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Any, ClassVar

from annotated_types import Ge, Gt, Le, Len
from pydantic import TypeAdapter, ValidationError

from hushwalk.errors import MissingFileError, SettingsError
from hushwalk.habitat.needs import Grade, Role
from hushwalk.site.outlines import Outline, RangeTable
from hushwalk.site.reading.cover_kinds import nearest

STRICT: dict[str, Any] = {"extra": "forbid", "allow_inf_nan": False}
UNION_WORDS = {"float", "str", "constrained-float", "list[constrained-float]"}
"""Words that the checker adds to a place in the file, which a person does not know."""

Positive = Annotated[float, Gt(0)]
NotNegative = Annotated[float, Ge(0)]
Fraction = Annotated[float, Ge(0), Le(1)]
Knees = Annotated[list[tuple[float, Fraction]], Len(2)]


@dataclass(frozen=True)
class SurfaceTable:
    """How scores become one surface."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    home_radius_m: NotNegative
    home_source: str
    floor: Fraction
    floor_source: str


@dataclass(frozen=True)
class NeedTable:
    """One need, as it stands on the card."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    key: str
    label: str
    unit: str
    role: Role
    weight: NotNegative
    curve: Knees
    season: str
    grade: Grade
    source: str
    when_absent: Fraction | None = None
    absent_source: str = ""
    optional: bool = False
    stands_in_for: str = ""


@dataclass(frozen=True)
class RadiiTable:
    """How wide the surroundings are looked at [m]."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    landscape_m: Positive
    mixture_m: Positive
    conifer_m: Positive
    ridge_m: Positive
    source: str


@dataclass(frozen=True)
class KindRow:
    """Quality of one kind of cover, one number a column."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    source: str
    best: list[Fraction] | None = None
    usual: list[Fraction] | None = None


@dataclass(frozen=True)
class CoverTable:
    """Quality of the kinds of cover."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    columns: Annotated[list[str], Len(1)]
    age_unknown: Fraction
    age_unknown_source: str
    kinds: dict[str, KindRow]
    source: str


@dataclass(frozen=True)
class RegionTable:
    """What is other in one region."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    label: str
    factor: Positive
    column: str
    source: str
    weights: dict[str, NotNegative] = field(default_factory=dict)
    curves: dict[str, Knees] = field(default_factory=dict)
    outlines: list[Outline] = field(default_factory=list)
    outline_source: str = ""


@dataclass(frozen=True)
class DensityTable:
    """How many males the best ground holds."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    best_per_km2: Positive
    source: str
    region_log_sd: NotNegative
    region_source: str
    peak: Positive
    unknown: Positive
    low: Positive
    unknown_log_sd: NotNegative
    known_log_sd: NotNegative
    cycle_source: str


@dataclass(frozen=True)
class PatchTable:
    """What counts as a patch."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    good_from: Annotated[float, Gt(0), Le(1)]
    least_ha: NotNegative
    edge_m: NotNegative
    spacing_m: Positive
    source: str


@dataclass(frozen=True)
class CardFile:
    """All that a species card says."""

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    name: str
    latin: str
    surface: SurfaceTable
    need: Annotated[list[NeedTable], Len(1)]
    radii: RadiiTable
    landscape: dict[str, Fraction | list[Fraction] | str]
    cover: CoverTable
    region: Annotated[dict[str, RegionTable], Len(1)]
    density: DensityTable
    patch: PatchTable
    territory: dict[str, Any]
    protocol: dict[str, Any]
    conduct: dict[str, Any]
    range: RangeTable | None = None
    sound: dict[str, Any] = field(default_factory=dict)
    display: dict[str, Any] = field(default_factory=dict)


def card_names() -> tuple[str, ...]:
    """Give the names of the cards that come with hushwalk.

    Examples
    --------
    >>> "ruffed_grouse" in card_names()
    True
    """
    folder = files("hushwalk") / "data" / "species"
    return tuple(sorted(p.name.removesuffix(".toml") for p in folder.iterdir() if p.name.endswith(".toml")))


def read_card_text(name_or_path: str | Path) -> tuple[str, str]:
    """Give the key and the text of a card.

    Parameters
    ----------
    name_or_path : a name of :func:`card_names`, or the path of a TOML file of one's own.

    Raises
    ------
    MissingFileError
        If there is neither.
    SettingsError
        If the file is no text.
    """
    word = str(name_or_path)
    if word in card_names():
        return word, (files("hushwalk") / "data" / "species" / f"{word}.toml").read_text(encoding="utf-8")
    path = Path(name_or_path)
    if not path.is_file():
        known = nearest(word, dict.fromkeys(card_names()))
        raise MissingFileError(
            f"no species card {word!r}, neither by name nor as a file beside the one that names it{known}"
        )
    try:
        return path.stem, path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise SettingsError(f"species card {path.name} is not UTF-8 text; save it as such") from None


def parse_card(text: str, key: str) -> tuple[CardFile, dict[str, Any]]:
    """Read and check the text of a card; give it checked, and as plain tables.

    Parameters
    ----------
    text : TOML.
    key : how to name the card in an error.

    Raises
    ------
    SettingsError
        With the first fault, its table and key.
    """
    try:
        raw = tomllib.loads(text)
        return TypeAdapter(CardFile).validate_python(raw), raw
    except ValidationError as fault:
        raise SettingsError(f"species card {key}: {_first_fault(fault)}") from None
    except (ValueError, RecursionError) as fault:  # numbers of thousands of digits are a ValueError of their own
        raise SettingsError(f"species card {key}: not TOML: {fault}") from None


def _first_fault(fault: ValidationError) -> str:
    first = fault.errors(include_url=False)[0]
    parts = [p for p in first["loc"] if p not in UNION_WORDS]
    where = "".join(f"[{p + 1}]" if isinstance(p, int) else f".{p}" for p in parts).lstrip(".")
    kind = first["type"]
    if kind == "missing":
        return f"{where} is missing"
    if kind in {"unexpected_keyword_argument", "extra_forbidden"}:
        return f"{where} is not a key of a species card"
    got = repr(first["input"])
    return f"{where} = {got[:60]}: {first['msg'][0].lower()}{first['msg'][1:]}"
