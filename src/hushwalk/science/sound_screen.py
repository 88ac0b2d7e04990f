"""What a hill between bird and ear takes: edges, the rubber band over them, and their loss.

Where the hill stands is read from the elevation by whoever holds the map.
"""

import math

import numpy as np
from numba import njit

from hushwalk.science.sound_tables import sound_table
from hushwalk.types import FloatArray

_TABLE = sound_table("screen")
C2 = float(_TABLE["c2"])
SINGLE_LIMIT_DB = float(_TABLE["single_limit_db"])
DOUBLE_LIMIT_DB = float(_TABLE["double_limit_db"])
SOUND_MS = float(_TABLE["speed_of_sound_ms"])
EDGE_MARGIN_M = float(_TABLE["edge_margin_m"])
KMET_M = 2000.0


def wavelength_m(frequency_hz: FloatArray) -> FloatArray:
    """Wavelength at the 340 m/s of the standard.

    Parameters
    ----------
    frequency_hz : any shape [Hz].
    """
    length: FloatArray = SOUND_MS / np.asarray(frequency_hz, dtype=float)
    return length


@njit(cache=True, nogil=True, error_model="numpy")
def edge_loss_db(detour_m, bird_m, ear_m, direct_m, between_m, second, wavelength):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN201
    """Loss behind one edge or two.

    Parameters
    ----------
    detour_m : z, path over the edges less the direct path; negative where the line of sight clears the edge [m].
    bird_m, ear_m : from the bird to the first edge and from the last edge to the ear [m].
    direct_m : from bird to ear [m].
    between_m : between the two edges, 0 for one [m].
    second : how far the second edge counts, 0 (a single edge) to 1.
    wavelength : [m].

    Returns
    -------
    float
        Dz, at most 20 dB for one edge and 25 dB for two [dB].

    Notes
    -----
    ``Dz = 10 lg(3 + C2/lambda C3 z Kmet)`` with C2 = 20 (ground reflections included), ``C3 = 1`` for one edge and
    ``(1 + (5 lambda/e)^2) / (1/3 + (5 lambda/e)^2)`` for two, ``Kmet = exp(-sqrt(dss dsr d / (2 z)) / 2000)`` for
    z > 0 and 1 otherwise; 0 dB where z is less than ``-2 lambda / (C2 C3 Kmet)``.

    References
    ----------
    iso_9613_2_1996, 7.4.
    """
    c3 = 1.0
    if between_m > 0.0 and second > 0.0:
        ratio = (5.0 * wavelength / between_m) ** 2
        c3 = 1.0 + ((1.0 + ratio) / (1.0 / 3.0 + ratio) - 1.0) * second
    kmet = 1.0
    if detour_m > 0.0:
        kmet = math.exp(-math.sqrt(bird_m * ear_m * direct_m / (2.0 * detour_m)) / KMET_M)
    inside = 3.0 + C2 / wavelength * c3 * detour_m * kmet
    if inside <= 1.0:
        return 0.0
    return min(10.0 * math.log10(inside), SINGLE_LIMIT_DB + (DOUBLE_LIMIT_DB - SINGLE_LIMIT_DB) * second)


@njit(cache=True, nogil=True, error_model="numpy")
def _hull(place, line, n, kept):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Upper hull of the profile whose ends stand at bird and ear height; the number of points kept."""
    count = 0
    for i in range(n):
        while count >= 2:  # noqa: PLR2004
            a, b = kept[count - 2], kept[count - 1]
            turn = (place[b] - place[a]) * (line[i] - line[a]) - (line[b] - line[a]) * (place[i] - place[a])
            if turn < 0.0:
                break
            count -= 1
        kept[count] = i
        count += 1
    return count


@njit(cache=True, nogil=True, error_model="numpy")
def _apart(place, line, a, b):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Straight distance between two points; several times quicker than hypot, and nothing overflows here."""
    x, y = place[b] - place[a], line[b] - line[a]
    return math.sqrt(x * x + y * y)


@njit(cache=True, nogil=True, error_model="numpy")
def _above_chord(place, line, a, b, i):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Height of point i above the straight line from point a to point b."""
    return line[i] - line[a] - (line[b] - line[a]) * (place[i] - place[a]) / (place[b] - place[a])


@njit(cache=True, nogil=True, error_model="numpy")
def _rubber_band(place, line, n, kept, edges):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Fill ``edges`` for a blocked line of sight from the hull over it."""
    count = _hull(place, line, n, kept)
    last = n - 1
    direct = _apart(place, line, 0, last)
    first, most = 1, -1.0
    for k in range(1, count - 1):
        i = kept[k]
        over = _apart(place, line, 0, i) + _apart(place, line, i, last)
        if over - direct > most:
            first, most = k, over - direct
    other, height = first, 0.0
    for k in range(1, count - 1):
        if k < first:
            above = _above_chord(place, line, 0, kept[first], kept[k])
        elif k > first:
            above = _above_chord(place, line, kept[first], last, kept[k])
        else:
            continue
        if above > height:
            other, height = k, above
    near, far = min(first, other), max(first, other)
    legs = np.zeros(3)
    for k in range(1, count):
        a, b = kept[k - 1], kept[k]
        leg = 0 if k <= near else (1 if k <= far else 2)
        legs[leg] += _apart(place, line, a, b)
    edges[1] = max(legs[0] + legs[1] + legs[2] - direct, 0.0)
    edges[2], edges[3], edges[4] = legs[0], legs[2], direct
    edges[5] = legs[1]
    edges[6] = min(height / EDGE_MARGIN_M, 1.0)


@njit(cache=True, nogil=True, error_model="numpy")
def find_edges(place, height, n, first_above, last_above, line, kept, edges):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN201
    """Find the edges that screen the far end of a profile from the near one.

    Parameters
    ----------
    place, height : shape (>= n,) distance along the ground and elevation; the ends are bird and ear [m].
    n : number of points.
    first_above, last_above : height of the two ends above their ground [m].
    line, kept : room to work in, float64 and int64, shape (>= n,).
    edges : shape (7,), filled with weight 0..1 of the screen, detour z, first leg, last leg, direct path, path
        between two edges [m], weight 0..1 of the second edge.

    Returns
    -------
    None
        The answer is written into ``edges``.

    Notes
    -----
    Level ground between bird and ear is no screen, although ISO 9613-2 would give the edge of a grazing line of sight
    4.8 dB: its ground term already holds the ground. So the loss fades in with the rise of the edge above the
    straight line between the two grounds, from nothing there to all of it a margin above the line of sight. A second
    edge fades in with its height above the band that would pass without it.

    References
    ----------
    iso_9613_2_1996, 7.4, for the edges; the fading is a judgement.
    """
    last = n - 1
    edges[:] = 0.0
    per_m = 1.0 / max(place[last] - place[0], 1e-9)
    best, blocked = -1, False
    line[0], line[last] = height[0] + first_above, height[last] + last_above
    for i in range(1, last):
        line[i] = height[i]
        share = (place[i] - place[0]) * per_m
        rise = height[i] - (height[0] + (height[last] - height[0]) * share)
        above = first_above + (last_above - first_above) * share
        # written as a product because a division at every point would take a third of the time
        if rise > edges[0] * (above + EDGE_MARGIN_M):
            edges[0], best = rise / (above + EDGE_MARGIN_M), i
        if rise > above:
            blocked = True
    edges[0] = min(edges[0], 1.0)
    if best < 0:
        return
    if blocked:
        _rubber_band(place, line, n, kept, edges)
        return
    before = _apart(place, line, 0, best)
    after = _apart(place, line, best, last)
    direct = _apart(place, line, 0, last)
    edges[1] = direct - before - after
    edges[2], edges[3], edges[4] = before, after, direct
