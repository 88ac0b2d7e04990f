import numpy as np

from hushwalk.birds.association import AssociationParams, associate, bearings_by_bird
from hushwalk.birds.bird_report import OneOrTwo
from hushwalk.birds.fix import FixParams, find_bird
from hushwalk.birds.next_bearing import StandParams
from hushwalk.birds.one_or_two import deciding_stand
from hushwalk.birds.posterior import EarshotParams
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Bearing, Listening
from hushwalk.wording.bird_words import pair_lines

GRID = Grid(32615, -1000.0, 1000.0, 20.0, 100, 100)
EAR = EarshotParams(cell_m=20.0)
STOPS = [Listening("P1", (-300.0, 0.0), 8.0), Listening("P2", (300.0, 0.0), 8.0)]


def test_two_lines_that_may_be_of_one_bird_or_two_are_decided_from_the_side():
    # Both look north and hardly cross: one bird far to the north, or two, each before its own stop.
    taken = [Bearing("a", (-300.0, 0.0), 14.0, 15.0, "P1"), Bearing("b", (300.0, 0.0), 346.0, 15.0, "P2")]
    association = associate(taken, STOPS, GRID, params=AssociationParams(earshot=EAR))
    assert len(association.maybe_one) == 1
    pair = association.maybe_one[0]
    assert 0.15 <= pair.chance <= 0.9
    by_bird = bearings_by_bird(taken, association.bird_of)
    fixes = [find_bird(own, STOPS, GRID, params=FixParams(earshot=EAR)) for own in by_bird.values()]
    seconds = Layer("walk", "s", GRID, np.full(GRID.shape, 60.0))
    stand = deciding_stand(pair, association.sharing, fixes, seconds, StandParams(earshot=EAR, stand_off_m=30.0))
    assert stand is not None
    assert 0.6 <= stand.right <= 1
    spread = abs((stand.towards_two_deg[0] - stand.towards_two_deg[1] + 180) % 360 - 180)
    assert spread > 30
    far = Layer("walk", "s", GRID, np.full(GRID.shape, np.nan))
    assert deciding_stand(pair, association.sharing, fixes, far, StandParams(earshot=EAR)) is None


def test_a_pair_without_a_stand_is_said_all_the_same():
    lines = pair_lines(OneOrTwo(("B1", "B4"), 0.35))
    assert lines[0] == "B1 and B4 may be one bird: chance 35%"
    assert "no stand" in lines[1]
