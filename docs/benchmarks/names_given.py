"""What names of birds do to their grounds, given rightly and wrongly: mornings played from a plan's own stops.

    python docs/benchmarks/names_given.py --right 0.75              a name at every stop, right so often
    python docs/benchmarks/names_given.py --closing --right 0.95    a name kept for two bearings on the way to a bird

Birds are drawn from the model and heard as in search_ground.py. Without --closing a bird is named where it is first
heard; wherever it is heard again it gets its own name so often, and else that of another. With it, somebody walks
towards one bird, takes bearings after 70 and 140 m, and keeps the name so often for the right bird, else for another.
"""

import argparse
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
from search_ground import DEMO, STEPS, Morning, morning_of

from hushwalk.birds.association import associate, bearings_by_bird
from hushwalk.birds.averaged_place import averaged_place
from hushwalk.birds.credible_ground import credible_grounds
from hushwalk.birds.fix import SHARES
from hushwalk.birds.rehearsal import draw_bearings, draw_birds
from hushwalk.notes.bearing import Bearing, Listening

BEGIN = datetime(2027, 4, 24, 10, tzinfo=UTC)
A_STOP, A_STEP, STEP_M, STEP_MIN = timedelta(minutes=12), timedelta(minutes=5), 70.0, 5.0
Played = tuple[list[Bearing], list[Listening], dict[str, int]]
"""Bearings with names and times, where one listened, and the male of each bearing."""


def at_stops(made: Morning, birds: np.ndarray, rng: np.random.Generator) -> Played:
    """Play the stops of a morning; every bearing has a name of its own."""
    _, bearings = draw_bearings(birds, made.stops, rng, made.audible, made.error, made.params)
    when = {stop.stop: BEGIN + k * A_STOP for k, stop in enumerate(made.stops)}
    named = [replace(b, at=when[b.stop], bird=b.uid) for b in bearings]
    return named, list(made.stops), {b.uid: int(b.uid.split("/")[1]) for b in bearings}


def named_at_stops(played: Played, right: float, rng: np.random.Generator) -> Played:
    """Give each bird its name again, right so often."""
    bearings, stops, who = played
    names: dict[int, str] = {}
    found: list[Bearing] = []
    for b in bearings:
        own, new = who[b.uid], who[b.uid] not in names
        name = names.setdefault(own, f"N{len(names)}")
        others = [other for other in names.values() if other != name]
        if not new and rng.random() >= right:
            name = str(rng.choice(others)) if others else b.uid
        taken = any(c.stop == b.stop and c.bird == name for c in found)
        found.append(replace(b, bird=b.uid if taken else name))
    return found, stops, who


def closed_in(made: Morning, birds: np.ndarray, played: Played, right: float, rng: np.random.Generator) -> Played:
    """Walk along one of the bearings, and keep its name."""
    bearings, stops, who = played
    first = bearings[int(rng.integers(len(bearings)))]
    angle, target = np.radians(first.grid_azimuth_deg), who[first.uid]
    ahead = np.array([np.sin(angle), np.cos(angle)])
    more: list[Bearing] = []
    for k in (1, 2):
        x, y = np.array(first.xy_m) + k * STEP_M * ahead
        stops = [*stops, Listening(f"X{k}", (float(x), float(y)), STEP_MIN)]
        _, here = draw_bearings(birds, stops[-1:], rng, {}, made.error, made.params)
        who = who | {b.uid: int(b.uid.split("/")[1]) for b in here}
        wrong = rng.random() >= right
        may = [b.uid for b in here if (who[b.uid] == target) != wrong]
        kept = str(rng.choice(may)) if may else ""
        at = (first.at or BEGIN) + k * A_STEP
        more += [replace(b, at=at, bird=first.bird if b.uid == kept else b.uid) for b in here]
    return [*bearings, *more], stops, who


def held_of(made: Morning, birds: np.ndarray, played: Played) -> list[tuple[int, list[float]]]:
    """Give for each bird of the list from how many places it was heard, and whether its grounds hold the male meant."""
    bearings, stops, who = played
    found = associate(
        bearings, stops, made.site.grid, habitat=made.site.density, audible=made.audible, params=made.expected
    )
    rows = []
    for group in bearings_by_bird(bearings, found.bird_of).values():
        own = [who[b.uid] for b in group]
        meant = [male for male in dict.fromkeys(own) if own.count(male) == max(map(own.count, own))]
        groups = found.sharing.groups_of([b.uid for b in group])
        place = averaged_place(found.sharing, groups, made.site.grid, made.params.earshot)
        held = [float(ground.holds(birds[meant]).mean()) for ground in credible_grounds(place, SHARES)]
        rows.append((len({b.xy_m for b in group}), held))
    return rows


def main() -> None:
    """Play and print."""
    said = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    said.add_argument("--closing", action="store_true", help="names are kept on the way to a bird, not at stops")
    said.add_argument("--right", type=float, default=0.75, help="how often a name is right")
    said.add_argument("--mornings", type=int, default=100)
    said.add_argument("--seed", type=int, default=77)
    given = said.parse_args()
    made, rng = morning_of(DEMO, STEPS), np.random.default_rng(given.seed)
    rows: list[tuple[int, list[float]]] = []
    for _ in range(given.mornings):
        birds = draw_birds(made.density, rng, made.part)
        played = at_stops(made, birds, rng)
        if not played[0]:
            continue
        if given.closing:
            played = closed_in(made, birds, played, given.right, rng)
        else:
            played = named_at_stops(played, given.right, rng)
        rows += held_of(made, birds, played)
    for words, least in (("all", 1), ("crossed", 2)):
        own = [held for places, held in rows if places >= least]
        held = ", ".join(f"{share:.0%} holds {np.mean([h[k] for h in own]):.1%}" for k, share in enumerate(SHARES))
        print(f"{words}: {len(own)} grounds; {held}")


if __name__ == "__main__":
    main()
