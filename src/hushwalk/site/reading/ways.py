"""What a road or trail is: its class, who may walk it, whether it passes over or under others, and how it treads.

The words that layers use stand in data/tables/way_words.toml; where one may walk for that is passage.py's business.
"""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from hushwalk.site.reading.tags import Columns, FeatureTags

Access = Literal["yes", "no", ""]
Level = Literal["bridge", "tunnel", ""]


@dataclass(frozen=True)
class WayTraits:
    """What a layer says of one road or trail.

    Parameters
    ----------
    kind : key of its class in data/tables/way_words.toml, such as ``"motorway"``; empty where nothing known is said.
    access : whether feet may go there, empty where that is not said.
    level : whether it is a bridge or a tunnel.
    slow : whether its tread is bad.
    """

    kind: str = ""
    access: Access = ""
    level: Level = ""
    slow: bool = False

    @property
    def motor_only(self) -> bool:
        """Whether it is a motorway or ramp, which nobody walks or crosses on foot."""
        return self.kind in {"motorway", "ramp"}

    @property
    def private(self) -> bool:
        """Whether it may not be walked because it is somebody's."""
        if self.access:
            return self.access == "no"
        return bool(self.kind) and _table()["classes"][self.kind]["walked"] == "private"

    @property
    def walked(self) -> bool:
        """Whether one may walk it, as far as its layer tells."""
        if self.motor_only or self.private:
            return False
        return not self.kind or _table()["classes"][self.kind]["walked"] != "no"

    @property
    def traffic(self) -> str:
        """Which row of data/tables/traffic.toml its cars follow; empty where none are heard."""
        return str(_table()["classes"][self.kind]["traffic"]) if self.kind else ""


def traits_of(columns: Columns, row: int, field: str | None = None) -> WayTraits:
    """Tell what a road or trail is from the fields of its layer.

    Parameters
    ----------
    columns : fields of the layer.
    row : of the feature.
    field : the field of its class, where the trip file names one.

    Returns
    -------
    WayTraits

    References
    ----------
    osm_highway_tags, osm_access_tags, census_mtfcc, padus_access
    """
    words, said = _table(), FeatureTags(columns, row)
    kind = _class_of(said([field] if field else words["fields"]))
    if kind == "service" and any(word in words["service"]["driveway"] for word in said(words["service"]["fields"])):
        kind = "driveway"
    if any(word in words["motorroad"]["yes"] for word in said(words["motorroad"]["fields"])):
        kind = "motorway"
    slow = any(word in words["tread"]["slow"] for word in said(words["tread"]["fields"]))
    return WayTraits(kind, _access_of(said), _level_of(said), slow)


def slow_tread_factor() -> float:
    """What a bad tread multiplies the time by."""
    return float(_table()["tread"]["slow_factor"])


def _class_of(said: Sequence[str]) -> str:
    for word in said:
        for key, entry in _table()["classes"].items():
            if word in entry["words"]:
                return str(key)
    return ""


def _access_of(said: FeatureTags) -> Access:
    words = _table()["access"]
    if any(value.partition("@")[0].strip() in words["no"] for value in said(words["conditional_fields"])):
        return "no"
    for fields in (words["foot_fields"], words["fields"]):
        values = said(fields)
        if any(value in words["no"] for value in values):
            return "no"
        if any(value in words["yes"] for value in values):
            return "yes"
    return ""


def _level_of(said: FeatureTags) -> Level:
    words = _table()["level"]
    if any(value not in words["not"] for value in said(words["tunnel_fields"])):
        return "tunnel"
    return "bridge" if any(value not in words["not"] for value in said(words["bridge_fields"])) else ""


@cache
def _table() -> dict[str, Any]:
    path = files("hushwalk") / "data" / "tables" / "way_words.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))
