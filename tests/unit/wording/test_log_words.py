import pytest

from hushwalk.logs.observations import Criterion, Observation, Observed
from hushwalk.logs.sides import Side
from hushwalk.wording.log_words import WORDS, criterion_words, observation_words, side_words


def test_every_observation_has_words() -> None:
    assert set(WORDS) == set(Observed)
    assert all("{" not in observation_words(Observation(what, 90.0)) for what in Observed)


@pytest.mark.parametrize(
    ("name", "facts", "words"),
    [
        ("facing", [(Observed.FACES_CAMERA, 0), (Observed.TAIL_ONLY, 0)], "he faces the camera or tail only"),
        ("light", [(Observed.FRONT_LIGHT, 30), (Observed.BACK_LIGHT, 5)], "front light 30 min, back light 5 min"),
        ("film from", [(Observed.FILM_FROM, 315.0)], "film from the NW"),
        ("view", [(Observed.VIEW_OPEN, 0.9)], "view 90% open"),
        ("wind", [], ""),
    ],
)
def test_a_criterion_in_words(name: str, facts: list[tuple[Observed, float]], words: str) -> None:
    assert criterion_words(Criterion(name, 1.0, tuple(Observation(*fact) for fact in facts))) == words


def test_a_sheet_leaves_out_what_nobody_noted() -> None:
    scored = (
        Criterion("facing", 0.5, (Observation(Observed.FACING_UNKNOWN),)),
        Criterion("room", 0.1, (Observation(Observed.NO_ROOM),)),
        Criterion("wind", 1.0),
    )
    side = Side("N", 0.0, 15.0, (0.0, 0.0), 0.0, 0.3, scored)
    assert side_words(side) == "where he faces is not known; no room for a hide was noted"
    assert side_words(side, known_only=True) == "no room for a hide was noted"
