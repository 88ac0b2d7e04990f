"""The linear programme of plain orienteering: a share for every post and every edge, and only the edges that matter.

Edges outside the programme are priced by its dual values, so that its bound holds for all of them. What rows it needs
is subtour_cuts.py's, how it is split plain_branching.py's.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import highspy
import numpy as np
from numpy.typing import NDArray

from hushwalk.planning.model.tables import Tables
from hushwalk.planning.orienteering.plain import plain_of, quickest
from hushwalk.types import FloatArray, IntArray

NEAREST = 8  # judgement: edges to the nearest places stand in the programme from the start
MANY = 400  # judgement: edges that join the programme at once
PRICED = 1e-7  # judgement: of the highest score; an edge worth less does not join
OVER = 1e3  # judgement: time over the budget costs this many times all scores a budget; it keeps every split solvable
SAFE = 1e-6  # judgement: the programme's own tolerance, added to the bound as a share


@dataclass(frozen=True)
class Edges:
    """Posts that can be on the walk (the start first, the end second if it differs) and the edges between them."""

    posts: IntArray
    score: FloatArray
    one: IntArray
    other: IntArray
    time: FloatArray
    most: FloatArray
    ends: int
    budget: float

    def some(self, keep: NDArray[np.bool_]) -> "Edges":
        """The same posts with some of the edges."""
        return Edges(
            self.posts,
            self.score,
            self.one[keep],
            self.other[keep],
            self.time[keep],
            self.most[keep],
            self.ends,
            self.budget,
        )


@dataclass(frozen=True)
class Cut:
    """x(d(S)) >= 2 y_v for a post v of a set S without start and end, or the same said by the edges inside of S."""

    inside: NDArray[np.bool_]
    post: int
    by_inside: bool

    def share(self, edges: Edges, which: IntArray) -> FloatArray:
        """Coefficients of edges in the row."""
        one, other = self.inside[edges.one[which]], self.inside[edges.other[which]]
        return (one & other if self.by_inside else one != other).astype(np.float64)


@dataclass(frozen=True)
class Solution:
    """Shares of posts and of all edges, what no walk exceeds, and what each would lose by leaving its limit."""

    bound: float
    y: FloatArray
    x: FloatArray
    y_price: FloatArray
    x_price: FloatArray


def edges_of(tables: Tables) -> Edges:
    """Give the undirected edges that some walk within the budget can use."""
    plain = plain_of(tables)
    ends = [tables.start] if tables.start == tables.end else [tables.start, tables.end]
    posts = np.array([*ends, *plain.posts[:-2].tolist()], np.int64)
    dwell = np.full(len(tables.usable), tables.dwell[0])
    dwell[ends] = 0.0
    times = np.minimum(tables.travel[0], tables.travel[0].T) + (dwell[:, None] + dwell[None, :]) / 2
    one, other = np.triu_indices(len(posts), 1)
    time = times[posts[one], posts[other]]
    reach = quickest(times, tables.start)[posts]
    back = quickest(times, tables.end)[posts]
    least = time + np.minimum(reach[one] + back[other], reach[other] + back[one])
    keep = (least <= plain.budget) | (one < len(ends))
    if len(ends) > 1:
        keep &= ~((one == 0) & (other == 1))
    one, other, time = one[keep], other[keep], time[keep]
    score = np.append(np.zeros(len(ends)), plain.score[:-2])
    most = np.where((one == 0) & (len(ends) == 1), 2.0, 1.0)
    return Edges(posts, score, one.astype(np.int64), other.astype(np.int64), time, most, len(ends), plain.budget)


class _Silent(highspy.Highs):
    """The solver without words on the screen; those of version 1.16 come before anybody could ask it to be silent."""

    def __init__(self) -> None:
        super().__init__()  # type: ignore[no-untyped-call]
        self.silent()

    def enableCallbacks(self) -> None:  # noqa: N802 - of the library, which speaks as it does this
        """Be silent first."""
        self.silent()
        super().enableCallbacks()  # type: ignore[no-untyped-call]


class Programme:
    """max sum s_i y_i, x(d(i)) = 2 y_i, t x <= budget, cuts, and x_e <= y_v where it was broken.

    Columns are the posts, time over the budget, then those edges that have joined; rows are the budget, the degrees,
    then the cuts. Time over the budget is so dear that it only shows where a split leaves nothing else.
    """

    def __init__(self, edges: Edges, cuts: Sequence[Cut] = (), uses: Sequence[tuple[int, int]] = ()) -> None:
        """Set up the programme with the nearest edges of each post, and with rows that are known."""
        self.edges, self.columns = edges, np.zeros(0, np.int64)
        self.first = len(edges.posts) + 1
        self.cuts: list[Cut] = []
        self.cut_rows: list[int] = []
        self.uses: list[tuple[int, int]] = []
        self.model = model = _Silent()
        model.setOptionValue("threads", 1)
        n, ends = len(edges.posts), edges.ends
        low = np.zeros(n)
        low[:ends] = 0.0 if ends == 1 else 1.0
        none = np.zeros(0, np.int32)
        model.addCols(n, edges.score, low, np.ones(n), 0, none, none, np.zeros(0))
        model.changeObjectiveSense(highspy.ObjSense.kMaximize)
        model.addRow(-highspy.kHighsInf, edges.budget, 0, none, np.zeros(0))
        dear = OVER * (1.0 + float(edges.score.sum())) / max(edges.budget, 1.0)
        model.addCol(-dear, 0.0, highspy.kHighsInf, 1, np.zeros(1, np.int32), -np.ones(1))
        for i in range(n):
            degree = 1.0 if ends > 1 and i < ends else 2.0
            model.addRow(0.0, 0.0, 1, np.array([i], np.int32), np.array([-degree]))
        self._join(_near(edges))
        for cut in cuts:
            self.add_cut(cut)
        for edge, post in uses:
            self.add_use(edge, post)

    def solve(self, fixed: Sequence[tuple[bool, int, float]] = ()) -> Solution | None:
        """Solve with some shares fixed, pricing the edges outside until none of them matters.

        Parameters
        ----------
        fixed : for each, whether it is an edge, which edge or post, and its share.

        Returns
        -------
        Solution or None
            None where no shares keep the rows.
        """
        gone = np.zeros(len(self.edges.posts), bool)
        self._join(np.array([which for is_edge, which, _ in fixed if is_edge], np.int64))
        columns = []
        for is_edge, which, share in fixed:
            columns.append(self._column(which) if is_edge else which)
            gone[which if not is_edge else 0] |= not is_edge and share == 0
            self.model.changeColBounds(columns[-1], share, share)
        try:
            return self._priced(~(gone[self.edges.one] | gone[self.edges.other]))
        finally:
            for column in columns:
                self.model.changeColBounds(column, *self._limits(column))

    def add_cut(self, cut: Cut) -> None:
        """Add a row for a set of posts, in the form with fewer numbers."""
        edges = self.edges
        crossing = np.flatnonzero(cut.share(edges, self.columns))
        inner = Cut(cut.inside, cut.post, by_inside=True)
        within, members = np.flatnonzero(inner.share(edges, self.columns)), np.flatnonzero(cut.inside)
        if not cut.by_inside and len(crossing) <= len(within) + len(members):
            columns = np.append(crossing + self.first, cut.post)
            values = np.append(np.ones(len(crossing)), -2.0)
            self._add_row(0.0, highspy.kHighsInf, columns, values)
        else:
            cut, others = inner, members[members != cut.post]
            columns = np.concatenate([within + self.first, others])
            values = np.concatenate([np.ones(len(within)), -np.ones(len(others))])
            self._add_row(-highspy.kHighsInf, 0.0, columns, values)
        self.cuts.append(cut)
        self.cut_rows.append(self.model.getNumRow() - 1)

    def add_use(self, edge: int, post: int) -> None:
        """Add the row that an edge is on the walk no more than a post at its end."""
        self._join(np.array([edge]))
        self._add_row(-highspy.kHighsInf, 0.0, np.array([self._column(edge), post]), np.array([1.0, -1.0]))
        self.uses.append((edge, post))

    def _column(self, edge: int) -> int:
        return self.first + int(np.flatnonzero(self.columns == edge)[0])

    def _limits(self, column: int) -> tuple[float, float]:
        n, ends = len(self.edges.posts), self.edges.ends
        if column < n:
            return (1.0 if ends > 1 and column < ends else 0.0), 1.0
        return 0.0, float(self.edges.most[self.columns[column - self.first]])

    def _priced(self, usable: NDArray[np.bool_]) -> Solution | None:
        n, edges = len(self.edges.posts), self.edges
        while True:
            self.model.run()
            status = self.model.getModelStatus()
            solution = self.model.getSolution()
            outside = np.ones(len(edges.time), bool)
            outside[self.columns] = False
            if status == highspy.HighsModelStatus.kInfeasible:
                if not outside.any():
                    return None
                self._join(np.flatnonzero(outside))
                continue
            if status != highspy.HighsModelStatus.kOptimal:
                raise ArithmeticError(f"the linear programme ended as {status}")
            price = self._prices(np.array(solution.row_dual))
            worth = np.where(outside & usable, np.maximum(price, 0.0), 0.0)
            joining = np.flatnonzero(worth > PRICED * edges.score.max())
            if len(joining) == 0:
                break
            self._join(joining[np.argsort(-worth[joining])[:MANY]])
        bound = self.model.getInfo().objective_function_value + float((worth * edges.most).sum())
        values = np.array(solution.col_value)
        x = np.zeros(len(edges.time))
        x[self.columns] = values[self.first :]
        col_price = np.array(solution.col_dual)
        price[self.columns] = col_price[self.first :]
        return Solution(bound * (1 + SAFE), values[:n], x, col_price[:n], price)

    def _prices(self, dual: FloatArray) -> FloatArray:
        """What each edge would add to the objective for a share of it, by the rows that all edges are in."""
        edges, n = self.edges, len(self.edges.posts)
        price = -edges.time * dual[0] - dual[1 + edges.one] - dual[1 + edges.other]
        used = [(cut, dual[row]) for cut, row in zip(self.cuts, self.cut_rows, strict=True) if dual[row] != 0]
        if used:
            sets = np.array([cut.inside for cut, _ in used], np.float64)
            value = np.array([v for _, v in used])
            inner = np.array([cut.by_inside for cut, _ in used])
            alone = (np.where(inner, 0.0, value) @ sets).reshape(n)
            pair = (sets * np.where(inner, value, -2 * value)[:, None]).T @ sets
            price -= alone[edges.one] + alone[edges.other] + pair[edges.one, edges.other]
        return np.asarray(price)

    def _join(self, which: IntArray) -> None:
        """Let edges join the programme, with their numbers in all rows."""
        which = np.setdiff1d(which, self.columns)
        if len(which) == 0:
            return
        edges, count = self.edges, len(which)
        shares = [cut.share(edges, which) for cut in self.cuts]
        starts = np.zeros(count, np.int32)
        rows: list[int] = []
        values: list[float] = []
        for k, e in enumerate(which.tolist()):
            starts[k] = len(rows)
            rows += [0, 1 + int(edges.one[e]), 1 + int(edges.other[e])]
            values += [float(edges.time[e]), 1.0, 1.0]
            held = [(row, s[k]) for row, s in zip(self.cut_rows, shares, strict=True) if s[k]]
            rows += [row for row, _ in held]
            values += [float(s) for _, s in held]
        high = edges.most[which]
        row_array, value_array = np.array(rows, np.int32), np.array(values)
        self.model.addCols(count, np.zeros(count), np.zeros(count), high, len(rows), starts, row_array, value_array)
        self.columns = np.append(self.columns, which)

    def _add_row(self, low: float, high: float, columns: IntArray, values: FloatArray) -> None:
        self.model.addRow(low, high, len(columns), columns.astype(np.int32), values)


def _near(edges: Edges) -> IntArray:
    """The quickest edges at each post, and those at start and end."""
    chosen = [np.flatnonzero(edges.one < edges.ends)]
    for i in range(edges.ends, len(edges.posts)):
        touching = np.flatnonzero((edges.one == i) | (edges.other == i))
        chosen.append(touching[np.argsort(edges.time[touching], kind="stable")[:NEAREST]])
    return np.unique(np.concatenate(chosen))
