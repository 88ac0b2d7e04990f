"""How many males a season holds, and how the ground shrinks with each morning: seasons played on the demo.

    python docs/benchmarks/season_birds.py                  20 seasons of five mornings

The males of a season keep their main logs; on each morning each displays with the share of the model, and now and then
from another log near it. They are heard and pointed at as in search_ground.py, and named anew at every stop. After
every second morning the log of one male that was heard is found with its droppings.
"""

import argparse
import time
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
from search_ground import DEMO, STEPS, Morning, morning_of

from hushwalk.birds.alternate_logs import AlternateLogs
from hushwalk.birds.association import associate
from hushwalk.birds.averaged_place import averaged_place
from hushwalk.birds.credible_ground import credible_ground
from hushwalk.birds.fix import SHARES
from hushwalk.birds.morning_fixes import MorningNotes, SharedMorning, join_shared, no_bird_on
from hushwalk.birds.rehearsal import draw_bearings, draw_birds
from hushwalk.birds.season_birds import SeasonBirds, UsedLog

DAY = date(2027, 4, 21)


def displayed_from(males: np.ndarray, made: Morning, rng: np.random.Generator) -> np.ndarray:
    """Give where each male displays that morning: from his main log, or from another near it."""
    logs = AlternateLogs(made.site.grid)
    away = rng.normal(logs.away_m, logs.sd_m, len(males)) * (rng.random(len(males)) < logs.share)
    turn = rng.uniform(0, 2 * np.pi, len(males))
    return males + (away * np.stack([np.sin(turn), np.cos(turn)])).T


def play(
    made: Morning, mornings: int, rng: np.random.Generator
) -> tuple[SeasonBirds, int, list[tuple[int, float, dict]]]:
    """Play a season: its males, how many were heard, and of each ground mornings, area and whether it held."""
    males = draw_birds(made.density, rng, 1.0)
    shared, logs, heard_ever, grounds = [], [], set(), []
    for k in range(mornings):
        out = np.flatnonzero(rng.random(len(males)) < made.part)
        places = displayed_from(males[out], made, rng)
        _, bearings = draw_bearings(places, made.stops, rng, made.audible, made.error, made.params)
        who = {b.uid: int(out[int(b.uid.split("/")[1])]) for b in bearings}
        heard_ever |= set(who.values())
        bearings = [replace(b, uid=f"{k}/{b.uid}", bird=f"{k}/{b.uid}") for b in bearings]
        day = DAY + timedelta(days=k)
        if bearings:
            found = associate(
                bearings, made.stops, made.site.grid, habitat=made.site.density, audible=made.audible,
                closed=no_bird_on(made.site), params=made.expected,
            )  # fmt: skip
            notes = MorningNotes(day, (), ())
            shared.append(
                SharedMorning(notes, tuple(bearings), tuple(made.stops), made.audible, found, made.params.earshot)
            )
        if k % 2 and who:
            lucky = int(rng.choice(sorted(set(who.values()))))
            logs.append(UsedLog(f"LOG{k:02d}", (float(males[lucky][0]), float(males[lucky][1])), day))
    season = join_shared(made.site, made.part, shared, logs, [stop.xy_m for stop in made.stops])
    last = shared[-1]
    for bird in last.association.birds:
        sharing, own = last.association.sharing, season.of(last.notes.day, bird.name)
        place = averaged_place(sharing, sharing.groups_of(bird.uids), made.site.grid, made.params.earshot)
        place = season.place_of(last.notes.day, bird.name, place)
        true = males[[who[uid.split("/", 1)[1]] for uid in bird.uids]]
        drawn = {share: credible_ground(place, share) for share in SHARES}
        held = {share: float(ground.holds(true).mean()) for share, ground in drawn.items()}
        grounds.append((len(own.mornings), drawn[SHARES[1]].area_ha, held))
    return season, len(heard_ever), grounds


def main() -> None:
    """Play and print."""
    said = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    said.add_argument("--seasons", type=int, default=20)
    said.add_argument("--mornings", type=int, default=5)
    said.add_argument("--seed", type=int, default=24)
    asked = said.parse_args()
    began, rng, right, grounds = time.perf_counter(), np.random.default_rng(asked.seed), 0, []
    made = morning_of(DEMO, STEPS)
    for k in range(asked.seasons):
        season, true, more = play(made, asked.mornings, rng)
        low, best, high = season.males
        right += low <= true <= high
        grounds += more
        print(f"season {k + 1}: {true} males heard; said {best}, between {low} and {high}", flush=True)
    print(f"{right} of {asked.seasons} seasons within the stated range")
    for count in range(1, asked.mornings + 1):
        own = [g for g in grounds if g[0] == count]
        if own:
            held = ", ".join(f"{share:.0%} holds {np.mean([g[2][share] for g in own]):.0%}" for share in SHARES)
            print(f"heard on {count}: {len(own)} grounds, 80 % ground {np.median([g[1] for g in own]):.1f} ha; {held}")
    print(f"{time.perf_counter() - began:.0f} s")


if __name__ == "__main__":
    main()
