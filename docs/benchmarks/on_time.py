"""How often a slower walker is back in time by a plan's own timetable; shares no code with the planner.

    python docs/benchmarks/on_time.py SUMMARY.json ... [--walkers 4000] [--slower 0.15] [--leg-error 0.1]

Each walker is up to so much slower than the pace (uniform), errs on each leg (log-normal), never leaves a stop before
its time, stands each stop as long as planned, and leaves nothing out.
"""

import argparse
import json
from datetime import datetime
from pathlib import Path

import numpy as np


def minutes(summary: dict, name: str, key: str) -> np.ndarray:
    """Give clock times of stops or legs in minutes after departure."""
    depart = datetime.fromisoformat(summary["depart"])
    times = [datetime.fromisoformat(one[key]) for one in summary[name]]
    return np.array([(t - depart).total_seconds() / 60 for t in times])


def backs(summary: dict, rng: np.random.Generator, slower: np.ndarray, leg_error: float) -> np.ndarray:
    """Give when each walker is back, in minutes after the plan's departure."""
    planned = minutes(summary, "legs", "arrive") - minutes(summary, "legs", "depart")
    by_pace = planned / (1 + summary["reserve"])
    leaves = minutes(summary, "stops", "leave")
    stands = leaves - minutes(summary, "stops", "arrive") - [s["until_light_minutes"] for s in summary["stops"]]
    clock = np.zeros(len(slower))
    for leg, alone in enumerate(by_pace):
        clock = clock + alone * (1 + slower) * np.exp(leg_error * rng.standard_normal(len(slower)))
        if leg < len(leaves):
            clock = np.maximum(clock + stands[leg], leaves[leg])
    return clock


def main() -> None:
    """Print the share in time, and how late the latest is, for each plan."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("summary", type=Path, nargs="+")
    parser.add_argument("--walkers", type=int, default=4000)
    parser.add_argument("--slower", type=float, default=0.15)
    parser.add_argument("--leg-error", type=float, default=0.1)
    asked = parser.parse_args()
    for path in asked.summary:
        summary = json.loads(path.read_text())
        rng = np.random.default_rng(1)
        back = backs(summary, rng, asked.slower * rng.random(asked.walkers), asked.leg_error)
        depart = datetime.fromisoformat(summary["depart"])
        promised = (datetime.fromisoformat(summary["back_by"]) - depart).total_seconds() / 60
        late = back - promised
        print(
            f"{summary['title']}: reserve {summary['reserve']:.0%}, {np.mean(late <= 0):.1%} back in time, "
            f"95 % by {np.quantile(late, 0.95):+.0f} min, the last {late.max():+.0f} min"
        )


if __name__ == "__main__":
    main()
