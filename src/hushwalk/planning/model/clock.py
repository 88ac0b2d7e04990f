"""The clock of a walk: when one arrives, and whether a route keeps every limit.

What the stops are worth is worth.py's; all of it is compiled.
"""

from numba import njit

from hushwalk.planning.model.tables import Tables
from hushwalk.types import FloatArray, IntArray

UNLIMITED = 1e29  # definition: a limit this large is none
TIME_TOLERANCE = 1e-7  # definition: a time limit is kept to this share, for sums of floating numbers


@njit(cache=True)
def arrival(tables: Tables, here: int, there: int, leave: float) -> float:
    """Clock on arrival for a leg begun at ``leave``, walked at the pace of each period it meets.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    here : where the leg begins.
    there : where the leg ends.
    leave : clock on leaving [s].

    Returns
    -------
    float
        Clock [s].
    """
    if tables.step > 0:
        tick = min(max(int((leave - tables.earliest) / tables.step + 0.5), 0), tables.slot.size - 1)
        return float(leave + tables.step * tables.leg[tables.slot[tick], here, there])
    if tables.breaks.size == 0:
        return float(leave + tables.travel[0, here, there])
    period = 0
    while period < tables.breaks.size and leave >= tables.breaks[period]:
        period += 1
    clock, share = leave, 1.0
    while period < tables.breaks.size:
        whole = tables.travel[period, here, there]
        if clock + share * whole <= tables.breaks[period]:
            break
        share -= (tables.breaks[period] - clock) / whole
        clock = tables.breaks[period]
        period += 1
    clock += share * tables.travel[period, here, there]
    return float(clock)


@njit(cache=True)
def factor_at(tables: Tables, post: int, dwell: int, begin: float) -> float:
    """Availability of a stop of that dwell begun at that clock.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    post : index of the post.
    dwell : index of the dwell.
    begin : shape (k,), clock when each stop begins [s].

    Returns
    -------
    float
        0..1.
    """
    ticks = tables.factor.shape[1]
    if ticks == 1:
        return float(tables.factor[dwell, 0])
    tick = min(max(int((begin - tables.earliest) / tables.step + 0.5), 0), ticks - 1)
    own = tables.own[post, tick] if tables.own.shape[0] > 0 else 1.0
    return float(tables.factor[dwell, tick] * own)


@njit(cache=True)
def opens_in(tables: Tables, post: int, begin: float) -> float:
    """Time until a post with hours of its own is worth a stop; 0 where it is, or never will be [s].

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    post : index of the post.
    begin : clock on arrival [s].

    Returns
    -------
    float
        [s].
    """
    if tables.own.shape[0] == 0:
        return 0.0
    first = max(int((begin - tables.earliest) / tables.step + 0.5), 0)
    for tick in range(first, tables.own.shape[1]):
        if tables.own[post, tick] > 0.0:
            return float((tick - first) * tables.step)
    return 0.0


@njit(cache=True)
def run_clock(
    tables: Tables, stops: IntArray, waits: FloatArray, count: int, begin: FloatArray
) -> tuple[float, float, float]:
    """Walk a route and note when each stop begins.

    Parameters
    ----------
    tables : see :class:`Tables`.
    stops : shape (2, at least count), posts and dwell choices.
    waits : shape (at least count + 1,), wait before leaving and before each stop [s].
    count : number of stops.
    begin : shape (at least count,), filled with the clock at which each stop begins [s].

    Returns
    -------
    tuple
        Clock on being back [s], time on foot [s], length [m].
    """
    clock = tables.earliest + waits[0]
    here, walk, length = tables.start, 0.0, 0.0
    for k in range(count):
        post = stops[0, k]
        arrive = arrival(tables, here, post, clock)
        walk += arrive - clock
        length += tables.length[here, post]
        begin[k] = arrive + waits[k + 1]
        clock = begin[k] + tables.dwell[stops[1, k]]
        here = post
    back = arrival(tables, here, tables.end, clock)
    return back, walk + back - clock, length + tables.length[here, tables.end]


@njit(cache=True)
def excess(tables: Tables, waits: FloatArray, count: int, back: float, walk: float, length: float) -> float:
    """By how much a route breaks its limits, in the unit of time; at most 0 where it keeps them all.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    waits : shape (k + 1,), wait before leaving and before each stop [s].
    count : stops of the route.
    back : clock on being back [s].
    walk : time on foot [s].
    length : walked [m].

    Returns
    -------
    float
        [s], at most 0 where all limits are kept.
    """
    leave = tables.earliest + waits[0]
    over = max(back - tables.latest, back - leave - tables.budget) - TIME_TOLERANCE * (1 + tables.budget)
    if tables.max_walk < UNLIMITED:
        over = max(over, walk - tables.max_walk * (1 + TIME_TOLERANCE))
    if tables.max_length < UNLIMITED and length > tables.max_length * (1 + TIME_TOLERANCE):
        over = max(over, (length / tables.max_length - 1) * tables.budget)
    return float(over if count <= tables.max_stops else max(over, tables.budget * 0.1))
