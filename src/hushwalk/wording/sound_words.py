"""The sound budget of one path as a table, and the noise there is to listen over in words.

What the terms are is the hearing room's business.
"""

import numpy as np

from hushwalk.hearing.background import traffic_noise_db, water_noise_db, wind_noise_db
from hushwalk.hearing.sound_budget import Foliage, Screen, SoundBudget
from hushwalk.science.sound_tables import sound_table
from hushwalk.types import FloatArray
from hushwalk.wording.measures import distance, height, speed, temperature


def budget_table(budget: SoundBudget) -> str:
    """Write a sound budget for people, one line a term."""
    reasons = _reasons(budget)
    rows: list[tuple[str, tuple[float, ...], str]] = [("level at 1 m", budget.level_at_1m_db, "as it leaves the bird")]
    rows += [(f"  {term.name}", tuple(-x for x in term.loss_db), reasons[term.name]) for term in budget.losses]
    noise = noise_words(np.array(budget.bands_hz), budget.air.wind_at_ear_ms, budget.stream_dba, budget.traffic_dba)
    gain_db = (budget.gain_db,) * len(budget.bands_hz)
    rows += [
        ("level at the ear", budget.received_db, ""),
        ("  ear in quiet", budget.threshold_db, "average threshold of hearing"),
        ("  noise", budget.noise_db, noise),
        ("needed", budget.needed_db, "to be heard half of the time by an average ear"),
        ("  listener", gain_db, "offset of the person and of the evidence"),
        ("margin", budget.margins_db, f"best at {budget.band_hz:g} Hz"),
    ]
    head = f"{'dB by band':<18}" + "".join(f"{f:>7g}" for f in budget.bands_hz) + "  Hz"
    lines = [
        f"{name:<18}" + "".join(f"{x + 0.0:>7.1f}" for x in levels) + (f"  {why}" if why else "")
        for name, levels, why in rows
    ]
    last = f"Chance to hear one display over {distance(budget.distance_m)}: {100 * budget.chance:.0f} %"
    return "\n".join([head, *lines, last])


def _reasons(budget: SoundBudget) -> dict[str, str]:
    """Why each term of a budget is what it is."""
    air = budget.air
    return {
        "spreading": f"over {distance(budget.distance_m)}",
        "air": f"{temperature(air.temperature_c)}, {air.humidity_pct:.0f} % humidity",
        "ground": "porous ground" if budget.ground_factor > 1 / 2 else "hard ground",
        "snow": "no deep snow" if air.snow == "none" else f"deep {air.snow} snow",
        "foliage": _foliage_words(budget.foliage),
        "terrain": _screen_words(budget.screen),
        "weather": air.air,
    }


def _foliage_words(foliage: Foliage | None) -> str:
    if foliage is None:
        return "open ground"
    return f"{distance(foliage.crossed_m)} of cover, as {distance(foliage.dense_m)} of dense conifers"


def _screen_words(screen: Screen | None) -> str:
    if screen is None:
        return "nothing in the way"
    kind = "two edges" if screen.double else "one edge"
    if screen.detour_m < 0 or screen.weight < 1:
        return f"{kind}, barely in the way ({100 * screen.weight:.0f} % counted)"
    return f"{kind}, {height(screen.detour_m, 2)} longer over it"


def beaufort_words(wind_ms: float) -> str:
    """Say a wind in words that can be checked by looking at leaves.

    Parameters
    ----------
    wind_ms : [m/s].

    References
    ----------
    wmo_beaufort_1970

    Examples
    --------
    >>> beaufort_words(2.0)
    'light breeze (felt on the face, leaves rustle)'
    """
    table = sound_table("beaufort")
    at = max(i for i, start in enumerate(table["from_ms"]) if wind_ms >= start)
    return f"{table['words'][at]} ({table['signs'][at]})"


def noise_words(bands_hz: FloatArray, wind_ms: float, stream_dba: float, traffic_dba: float = float("nan")) -> str:
    """Say what there is to listen over.

    Parameters
    ----------
    bands_hz : shape (n,) the bands that matter [Hz].
    wind_ms : at the ear [m/s].
    stream_dba : level of running water at the ear; NaN where there is none [dB(A)].
    traffic_dba : level of traffic at the ear; NaN where there is none [dB(A)].

    Returns
    -------
    str
        Wind, water and traffic that rise above the quiet floor in one of the bands.
    """
    floor = float(sound_table("masking")["quiet_floor_db"])
    heard = []
    if float(np.max(wind_noise_db(bands_hz, wind_ms))) > floor:
        heard.append(f"wind of {speed(wind_ms)}, {beaufort_words(wind_ms)}")
    if float(np.max(water_noise_db(bands_hz, stream_dba))) > floor:
        heard.append(f"running water of {stream_dba:.0f} dB(A)")
    if float(np.max(traffic_noise_db(bands_hz, traffic_dba))) > floor:
        heard.append(f"traffic of up to {traffic_dba:.0f} dB(A)")
    return " and ".join(heard) if heard else "quiet: the ear's own threshold is the limit"
