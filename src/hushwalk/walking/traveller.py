"""Who walks: what is passable, how fast on and off the path, and what a ford takes.

The ground itself is ground.py's business; the paces are those of science/gait.py.
"""

import tomllib
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

from hushwalk.science.gait import Gait, ford_seconds, gait_named
from hushwalk.science.going import usual_sinkage_m
from hushwalk.walking.graph import GraphParams, WalkGraph, build_graph
from hushwalk.walking.ground import Ground, GroundParams

KINDS = ("foot", "snowshoes")


@dataclass(frozen=True)
class Traveller:
    """How one travels.

    Parameters
    ----------
    kind : ``"foot"`` or ``"snowshoes"``.
    gait : pace on and off the path.
    steepest_deg : ground steeper than this is not walked off trails [deg].
    ford_s : seconds that wading a stream adds [s].
    """

    kind: str
    gait: Gait
    steepest_deg: float
    ford_s: float

    @property
    def ground_params(self) -> GroundParams:
        """What of the ground is passable for this traveller."""
        return GroundParams(cliff_deg=self.steepest_deg, ford_s=self.ford_s)

    def network(self, ground: Ground, neighbours: int = GraphParams.neighbours) -> WalkGraph:
        """Build the walking network of a ground that was laid out with :attr:`ground_params`."""
        return build_graph(ground, self.gait, GraphParams(neighbours=neighbours))


def on_foot(pace: str, *, pace_factor: float = 1.0, snow: str = "none") -> Traveller:
    """Give somebody who walks in boots.

    Parameters
    ----------
    pace : name of a published pace function.
    pace_factor : the person's own time over the published time.
    snow : ``"none"``, ``"old"`` or ``"fresh"``; a boot sinks in.

    Returns
    -------
    Traveller

    Raises
    ------
    SettingsError
        If there is no such pace or snow.

    References
    ----------
    campbell_2024_fire
    """
    gait = gait_named(pace, pace_factor=pace_factor, snow_sinkage_m=usual_sinkage_m(snow))
    return Traveller("foot", gait, GroundParams.cliff_deg, ford_seconds())


def on_snowshoes(pace: str, *, pace_factor: float = 1.0, snow: str = "none") -> Traveller:
    """Give somebody on snowshoes: slower on firm ground, quicker in deep snow, and not on steep ground.

    Parameters
    ----------
    pace, pace_factor, snow : as for :func:`on_foot`; the shoe sinks in less than a boot.

    Returns
    -------
    Traveller

    Raises
    ------
    SettingsError
        If there is no such pace or snow.
    """
    own = _snowshoes()
    sinkage = own["sinkage_share"] * usual_sinkage_m(snow)
    gait = gait_named(pace, pace_factor=pace_factor * own["time_factor"], snow_sinkage_m=sinkage)
    boots = on_foot(pace, pace_factor=pace_factor)
    return replace(
        boots, kind="snowshoes", gait=gait, steepest_deg=own["steepest_deg"], ford_s=boots.ford_s + own["ford_extra_s"]
    )


def traveller_of(kind: str, pace: str, *, pace_factor: float = 1.0, snow: str = "none") -> Traveller:
    """Give the traveller that a trip file names.

    Parameters
    ----------
    kind : ``"foot"`` or ``"snowshoes"``.
    pace, pace_factor, snow : as for :func:`on_foot`.

    Returns
    -------
    Traveller

    Raises
    ------
    SettingsError
        If there is no such pace or snow.
    """
    make = on_snowshoes if kind == "snowshoes" else on_foot
    return make(pace, pace_factor=pace_factor, snow=snow)


@cache
def _snowshoes() -> dict[str, float]:
    text = (files("hushwalk") / "data" / "tables" / "pace_going.toml").read_text(encoding="utf-8")
    table = tomllib.loads(text)["snowshoes"]
    return {key: float(value) for key, value in table.items() if not key.endswith("source")}
