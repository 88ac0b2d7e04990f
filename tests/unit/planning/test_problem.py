import numpy as np
import pytest
from scipy.sparse import csr_array

from hushwalk.errors import InputError
from hushwalk.planning.model.problem import Problem, orienteering_problem, with_posts

LINE_S = np.array([[0.0, 90.0, 200.0], [90.0, 0.0, 100.0], [200.0, 100.0, 0.0]])


def problem(**changes: object) -> Problem:
    fields = {
        "travel_s": LINE_S,
        "chance": csr_array([[0, 0], [0.5, 0], [0.5, 0.5]]),
        "weights": np.array([1.0, 2.0]),
        "start": 0,
        "end": 0,
        "earliest_s": 0.0,
        "latest_s": 1200.0,
        "budget_s": 1200.0,
        "dwell_s": (170.0,),
    }
    return Problem(**(fields | changes))


def test_times_are_rounded_up_to_whole_ticks() -> None:
    built = problem()
    assert built.travel_s[0, 0].tolist() == [0.0, 120.0, 240.0]
    assert built.dwell_s == (180.0,)
    assert problem(step_s=30.0).travel_s[0, 0, 1] == 90.0


def test_arrays_cannot_be_written_to() -> None:
    with pytest.raises(ValueError, match="read-only"):
        problem().travel_s[0, 0, 0] = 1.0


def test_plain_orienteering_is_recognised_and_overlap_is_not() -> None:
    assert orienteering_problem(LINE_S, [0, 1, 2], 500.0).modular
    assert not problem().modular
    assert problem(chance=csr_array([[0, 0], [0.5, 0], [0, 0.5]])).modular
    assert not problem(chance=csr_array([[0, 0], [0.5, 0], [0, 0.5]]), max_stops=1).modular


def test_posts_are_added_to_the_rules() -> None:
    assert with_posts(problem(forbidden=(2,)), (1,)).must_visit == (1,)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"travel_s": np.zeros((2, 3, 3))}, "travel_s has shape"),
        ({"travel_s": -LINE_S}, "travel_s must be"),
        ({"travel_s": np.full((3, 3), np.nan)}, "travel_s must be"),
        ({"weights": np.ones(3)}, "chance has shape"),
        ({"weights": np.array([1.0, -1.0])}, "weights"),
        ({"chance": csr_array([[0, 0], [1.5, 0], [0, 0]])}, "chance must lie"),
        ({"availability": np.ones((2, 1))}, "availability has shape"),
        ({"availability": np.array([[2.0]])}, "availability must lie"),
        ({"clock_s": np.array([1.0, 0.0]), "availability": np.ones((1, 2))}, "clock_s must rise"),
        ({"missed": np.ones(3)}, "missed must hold"),
        ({"start": 7}, "start names post"),
        ({"must_visit": (9,)}, "must_visit names post"),
        ({"must_visit": (0,)}, "forbidden or the start"),
        ({"must_visit": (1, 2), "conflicts": [[1, 2]]}, "conflicting"),
        ({"conflicts": [[1, 2, 3]]}, "conflicts has shape"),
        ({"latest_s": -1.0}, "latest_s lies before"),
        ({"budget_s": np.inf}, "finite"),
        ({"max_stops": -1}, "max_stops"),
        ({"max_length_m": 5.0}, "needs length_m"),
        ({"length_m": np.zeros((2, 2))}, "length_m must have shape"),
        ({"step_s": 0.0, "clock_s": [0, 9], "availability": [[0, 1]]}, "needs step_s"),
    ],
)
def test_a_fault_is_told_with_its_field(changes: dict[str, object], words: str) -> None:
    with pytest.raises(InputError, match=words):
        problem(**changes)


def test_scores_must_be_numbers_of_at_least_nothing() -> None:
    with pytest.raises(InputError, match="scores"):
        orienteering_problem(LINE_S, [0, -1, 2], 10.0)
