"""How many males a season holds, and how the ground shrinks with each morning: seasons played on the demo.

    python docs/benchmarks/season_birds.py                  20 seasons of five mornings

The males of a season keep their main logs; on each morning each displays with the share of the model, and now and then
from another log near it. They are heard and pointed at as in search_ground.py, and named anew at every stop. After
every second morning the log of one male that was heard is found with its droppings.
"""

import argparse
import time
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
from search_ground import DEMO, STEPS, Morning, morning_of

from hushwalk.birds.alternate_logs import AlternateLogs
from hushwalk.birds.association import associate
from hushwalk.birds.averaged_place import averaged_place
from hushwalk.birds.credible_ground import credible_grounds
from hushwalk.birds.fix import SHARES
from hushwalk.birds.morning_fixes import MorningNotes, SharedMorning, join_shared, no_bird_on
from hushwalk.birds.rehearsal import draw_bearings, draw_birds
from hushwalk.birds.season_birds import SeasonBirds, UsedLog
from hushwalk.notes.bearing import Bearing

DAY = date(2027, 4, 21)
POOLED = 3  # mornings that grounds are pooled over


def displayed_from(males: np.ndarray, made: Morning, rng: np.random.Generator) -> np.ndarray:
    """Give where each male displays that morning: from his main log, or from another near it."""
    logs = AlternateLogs(made.site.grid)
    away = rng.normal(logs.away_m, logs.sd_m, len(males)) * (rng.random(len(males)) < logs.share)
    turn = rng.uniform(0, 2 * np.pi, len(males))
    return males + (away * np.stack([np.sin(turn), np.cos(turn)])).T


@dataclass(frozen=True)
class Pooled:
    """Ground of one bird of the last morning: from that morning alone, with one and with two mornings before it.

    Parameters
    ----------
    heard : in how many of the last three mornings the male was heard that most of its bearings are of.
    joined : by mornings pooled, how many of them the list takes for this male.
    areas_ha : by mornings pooled, of the 80 % ground.
    held : by mornings pooled and share, whether the ground holds the main log of the male; of several the mean.
    """

    heard: int
    joined: list[int]
    areas_ha: list[float]
    held: list[dict[float, float]]


@dataclass(frozen=True, eq=False)
class Heard:
    """What was heard in a season: mornings as shared out, logs found, and which male each bearing is of."""

    shared: list[SharedMorning]
    logs: list[UsedLog]
    who: dict[str, int]


def hear(made: Morning, males: np.ndarray, mornings: int, rng: np.random.Generator) -> Heard:
    """Play the mornings of a season."""
    heard = Heard([], [], {})
    for k in range(mornings):
        out = np.flatnonzero(rng.random(len(males)) < made.part)
        places = displayed_from(males[out], made, rng)
        _, bearings = draw_bearings(places, made.stops, rng, made.audible, made.error, made.params)
        own = {f"{k}/{b.uid}": int(out[int(b.uid.split("/")[1])]) for b in bearings}
        bearings = [replace(b, uid=f"{k}/{b.uid}", bird=f"{k}/{b.uid}") for b in bearings]
        if bearings:
            heard.shared.append(shared_out(made, DAY + timedelta(days=k), bearings))
        if k % 2 and own:
            lucky = males[int(rng.choice(sorted(set(own.values()))))]
            heard.logs.append(UsedLog(f"LOG{k:02d}", (float(lucky[0]), float(lucky[1])), DAY + timedelta(days=k)))
        heard.who.update(own)
    return heard


def shared_out(made: Morning, day: date, bearings: list[Bearing]) -> SharedMorning:
    """Share the bearings of a morning out, as `hushwalk fix` does."""
    found = associate(
        bearings, made.stops, made.site.grid, habitat=made.site.density, audible=made.audible,
        closed=no_bird_on(made.site), params=made.expected,
    )  # fmt: skip
    notes = MorningNotes(day, (), ())
    return SharedMorning(notes, tuple(bearings), tuple(made.stops), made.audible, found, made.params.earshot)


def grounds_of(made: Morning, heard: Heard, males: np.ndarray) -> list[Pooled]:
    """Give the grounds of the birds of the last morning, each pooled with no, one and two mornings before it."""
    last = heard.shared[-1]
    days, sharing = heard.shared[-POOLED:], last.association.sharing
    stops = [stop.xy_m for stop in made.stops]
    seasons = [join_shared(made.site, made.part, days[k:], [], stops) for k in reversed(range(len(days)))]
    on = [{heard.who[b.uid] for b in morning.bearings} for morning in days]
    found = []
    for bird in last.association.birds:
        alone = averaged_place(sharing, sharing.groups_of(bird.uids), made.site.grid, made.params.earshot)
        own = [heard.who[uid] for uid in bird.uids]
        meant = [male for male in dict.fromkeys(own) if own.count(male) == max(map(own.count, own))]
        one = Pooled(sum(meant[0] in males_of_day for males_of_day in on), [], [], [])
        for season in seasons:
            drawn = {g.share: g for g in credible_grounds(season.place_of(last.notes.day, bird.name, alone), SHARES)}
            one.joined.append(len(season.of(last.notes.day, bird.name).mornings))
            one.areas_ha.append(drawn[SHARES[1]].area_ha)
            one.held.append({share: float(ground.holds(males[meant]).mean()) for share, ground in drawn.items()})
        found.append(one)
    return found


def play(made: Morning, mornings: int, rng: np.random.Generator) -> tuple[SeasonBirds, int, list[Pooled]]:
    """Play a season: its males, how many were heard, and the grounds of its last morning."""
    open_ground = made.density.with_values(np.where(no_bird_on(made.site).values > 0, 0.0, made.density.values))
    males = draw_birds(open_ground, rng, 1.0)
    heard = hear(made, males, mornings, rng)
    season = join_shared(made.site, made.part, heard.shared, heard.logs, [stop.xy_m for stop in made.stops])
    return season, len(set(heard.who.values())), grounds_of(made, heard, males)


def table(grounds: list[Pooled]) -> list[str]:
    """Give the rows of the page: all birds, and by the number of mornings on which the male was heard."""
    lines = []
    whole = [g for g in grounds if len(g.areas_ha) == POOLED]
    for words, own in (
        ("all", whole),
        *((f"heard on {n} of {POOLED}", [g for g in whole if g.heard == n]) for n in range(POOLED, 0, -1)),
    ):
        if not own:
            continue
        area = ", ".join(f"{np.median([g.areas_ha[k] for g in own]):.1f}" for k in range(POOLED))
        held = [", ".join(f"{np.mean([g.held[k][share] for g in own]):.0%}" for share in SHARES) for k in range(POOLED)]
        joined = ", ".join(f"{np.mean([g.joined[k] for g in own]):.1f}" for k in range(POOLED))
        lines.append(f"{words}: {len(own)} birds, {area} ha; hold {' | '.join(held)}; mornings joined {joined}")
    return lines


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
        if (k + 1) % 5 == 0:
            print(*table(grounds), sep="\n", flush=True)
    print(f"{right} of {asked.seasons} seasons within the stated range")
    print(f"{time.perf_counter() - began:.0f} s")


if __name__ == "__main__":
    main()
