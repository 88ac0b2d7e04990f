from itertools import combinations

import numpy as np
import pytest

from hushwalk.birds.partitions import ChainParams, sample_partitions


def all_partitions(things):
    if not things:
        yield ()
        return
    first, *rest = things
    for part in all_partitions(rest):
        yield (frozenset([first]), *part)
        for k, group in enumerate(part):
            yield (*part[:k], group | {first}, *part[k + 1 :])


def score_of(seed, count):
    # Any evidence of groups will do: drawn at random, one for each group.
    rng = np.random.default_rng(seed)
    known = {
        frozenset(group): float(rng.normal(0.0, 1.5))
        for size in range(1, count + 1)
        for group in combinations(range(count), size)
    }
    return known.__getitem__


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_partitions_are_drawn_as_often_as_they_are_likely(seed):
    count, score = 4, score_of(seed, 4)
    parts = [frozenset(p) for p in all_partitions(list(range(count)))]
    weight = np.exp([sum(map(score, p)) for p in parts])
    weight /= weight.sum()
    start = tuple(frozenset([k]) for k in range(count))
    allowed = np.ones((count, count), dtype=bool)
    drawn = sample_partitions(count, score, allowed, start, np.random.default_rng(7), ChainParams(50, 8000))
    seen = [frozenset(frozenset(np.flatnonzero(row == v).tolist()) for v in set(row)) for row in drawn.labels]
    shares = np.array([seen.count(p) for p in parts]) / len(seen)
    assert shares == pytest.approx(weight, abs=0.025)
    assert frozenset(drawn.best) == parts[int(weight.argmax())]
    one = sum(w for w, p in zip(weight, parts, strict=True) if any({0, 1} <= g for g in p))
    assert drawn.together([0, 1]) == pytest.approx(one, abs=0.025)
    assert drawn.same([0], [1]) == drawn.together([0, 1])
    groups = drawn.groups_of([0, 1], [1, 1])
    assert sum(groups.values()) == pytest.approx(1)
    assert all(group & {0, 1} for group in groups)
    most = drawn.groups_of([0, 1, 2], [1, 1, 1])
    apart = sum(w for w, p in zip(weight, parts, strict=True) if sum(bool(g & {0, 1, 2}) for g in p) == 3)
    assert sum(share for group, share in most.items() if len(group & {0, 1, 2}) == 1) == pytest.approx(apart, abs=0.025)


def test_tracks_that_may_not_be_one_never_are_and_a_run_repeats():
    count, score = 5, score_of(4, 5)
    allowed = np.ones((count, count), dtype=bool)
    allowed[0, 1] = allowed[1, 0] = False
    start = tuple(frozenset([k]) for k in range(count))
    runs = [
        sample_partitions(count, score, allowed, start, np.random.default_rng(9), ChainParams(5, 200)) for _ in "ab"
    ]
    assert runs[0].together([0, 1]) == 0
    assert (runs[0].labels == runs[1].labels).all()
