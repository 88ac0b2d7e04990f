"""What the tags of OpenStreetMap say a thing is, and which things of a file are of a kind of layer.

The tags stand in data/tables/osm_tags.toml, those of land cover in data/cover/osm_tags.csv.
"""

import re
import tomllib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hushwalk.site.reading.cover_kinds import cover_rows
from hushwalk.types import BoolArray

Columns = Mapping[str, NDArray[Any]]
Rule = Mapping[str, Sequence[str]]

PAIR = re.compile(r'"((?:[^"\\]|\\.)*)"=>"((?:[^"\\]|\\.)*)"')
"""Definition: one tag of the column in which the reader of extracts keeps those that have no column of their own."""

EXAMPLES = 3  # judgement: as many tags as a message names


class FeatureTags:
    """What one feature says, by the names of fields, in lower case; tags without a column are looked up too."""

    def __init__(self, columns: Columns, row: int) -> None:
        self.values = {name.lower(): column[row] for name, column in columns.items()}
        tags = self.values.get("other_tags")
        if isinstance(tags, str):
            self.values = {**dict(PAIR.findall(tags)), **{k: v for k, v in self.values.items() if v is not None}}

    def __call__(self, fields: Sequence[str]) -> list[str]:
        """Values of these fields, without those that are empty."""
        texts = (
            str(self.values[name]).strip().lower()
            for name in map(str.lower, fields)
            if self.values.get(name) is not None
        )
        return [text.removesuffix(".0") for text in texts if text not in {"", "none", "nan"}]

    def fits(self, rule: Rule) -> bool:
        """Whether every tag of a rule holds."""
        return all(any(_is(value, word) for value in self([key]) for word in words) for key, words in rule.items())


@dataclass(frozen=True, eq=False)
class OfKind:
    """Which features of a file are of a kind.

    Parameters
    ----------
    keep : one a feature.
    others : tags of those that are something else, and how often each occurs.
    n_hidden, hidden : how many are of the kind but do not count, and why.
    """

    keep: BoolArray = field(repr=False)
    others: Counter[str]
    n_hidden: int
    hidden: str


def is_tagged(columns: Columns) -> bool:
    """Whether the fields of a file plainly are tags of OpenStreetMap."""
    names = {name.lower() for name in columns}
    return bool(names & set(_table()["signs"])) and bool(names & {*_table()["keys"], "other_tags"})


def extract_layers(kind: str) -> tuple[str, ...]:
    """Layers of an extract in which things of a kind stand; none for kinds that it does not hold."""
    return tuple(_table()[kind]["layers"]) if kind in _table() else ()


def of_kind(kind: str, columns: Columns, n: int, *, extract: bool) -> OfKind:
    """Tell which features are of a kind of layer by their tags.

    Parameters
    ----------
    kind : of the layer.
    columns : fields of the features.
    n : how many there are.
    extract : whether the file holds everything; else its maker chose, and only what plainly is another thing is named.

    Returns
    -------
    OfKind

    References
    ----------
    osm_waterway_tags, osm_highway_tags, osm_access_tags, osm_feature_tags
    """
    entry, keep = _table()[kind], np.ones(n, dtype=bool)
    rules = [rule for one in ([kind] if extract else entry["family"]) for rule in _rules(one)]
    others: Counter[str] = Counter()
    n_hidden = 0
    for row in range(n):
        said = FeatureTags(columns, row)
        fits = any(said.fits(rule) for rule in rules)
        hidden = fits and any(said.fits(rule) for rule in entry["not"])
        foreign = "" if fits or extract or said(entry["own"]) else _plainest(said)
        n_hidden += hidden
        others.update([foreign] if foreign else [])
        keep[row] = not hidden and (fits if extract else not foreign)
    return OfKind(keep, others, n_hidden, entry.get("not_words", ""))


def part_time(columns: Columns, row: int) -> bool:
    """Whether a stream runs for a part of the year only."""
    entry, said = _table()["part_time"], FeatureTags(columns, row)
    return any(word in entry["words"] for word in said(entry["fields"]))


def cover_class(columns: Columns, row: int) -> int:
    """Class of the legend ``osm_tags`` that the tags of an area say; 0 for none."""
    said = FeatureTags(columns, row)
    return next((code for code, rule in _cover_rules() if said.fits(rule)), 0)


def named(others: Counter[str]) -> str:
    """Name the commonest tags."""
    found = [f"{tag} {n} times" if n > 1 else tag for tag, n in others.most_common(EXAMPLES)]
    return ", ".join(found) + (", ..." if len(others) > EXAMPLES else "")


def _rules(kind: str) -> Sequence[Rule]:
    return [rule for _, rule in _cover_rules()] if kind == "cover" else _table()[kind]["is"]


def _plainest(said: FeatureTags) -> str:
    return next((f"{key}={said([key])[0]}" for key in _table()["keys"] if said([key])), "")


def _is(value: str, word: str) -> bool:
    if word == "*":
        return value != "no"
    return value.startswith(word[:-1]) if word.endswith("*") else value == word


@cache
def _cover_rules() -> tuple[tuple[int, Rule], ...]:
    return tuple((int(row["code"]), _rule(row["tags"])) for row in cover_rows("osm_tags.csv"))


def _rule(text: str) -> Rule:
    pairs = (tag.partition("=") for tag in text.split())
    return {key: values.split(",") for key, _, values in pairs}


@cache
def _table() -> dict[str, Any]:
    path = files("hushwalk") / "data" / "tables" / "osm_tags.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))
