"""A second process: answers in any order, faults raised where they are asked for, and nothing lost when it dies."""

import operator
import os
import signal
from collections.abc import Iterator
from types import MappingProxyType

import pytest

from hushwalk.errors import PlaceError
from hushwalk.grid.points import parse_place
from hushwalk.worker import Worker


@pytest.fixture(scope="module")
def worker() -> Iterator[Worker]:
    with Worker() as process:
        yield process


def test_answers_come_to_the_one_who_asked_in_any_order(worker: Worker) -> None:
    first, second = worker.submit(max, 6, 7), worker.submit(dict, MappingProxyType({"a": 1}))
    assert second.result() == {"a": 1}
    assert first.result() == 7
    assert first.result() == 7


def test_what_the_work_raises_is_raised_here_and_the_next_call_still_works(worker: Worker) -> None:
    refused = worker.submit(parse_place, "nowhere")
    with pytest.raises(PlaceError, match="nowhere"):
        refused.result()
    assert worker.submit(os.getpid).result() != os.getpid()


def test_calls_of_a_process_that_was_killed_are_made_here() -> None:
    with Worker() as process:
        other = process.submit(os.getpid).result()
        before = process.submit(signal.pause)  # never answers
        os.kill(other, signal.SIGKILL)
        after = process.submit(operator.add, 20, 22)
        assert after.result() == 42
        assert before is not None
