"""A second plan heeds the notes of the first morning, on tiny ground: kept off, worth less, and said."""

import json
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

import numpy as np

from hushwalk.morning.report import Report
from hushwalk.morning.share import shared_report
from hushwalk.morning.solved_plan import RunParams
from hushwalk.morning.story import plan_morning
from hushwalk.morning.warm_morning import WarmMorning
from hushwalk.notes.notebook import ledger_file
from hushwalk.outputs.walk.walk_data import summary
from hushwalk.site.place import Place
from hushwalk.site.trip_file import read_trip

Country = Any
QUICK = RunParams(search_s=None, iterations=30, proof_s=0.0)


def nearest_stop_m(report: Report, place: Place) -> float:
    return min(float(np.hypot(*(np.array(stop.place.xy_m) - place.xy_m))) for stop in report.stops)


def note(run: Any, trip: Path, line: str, place: Place) -> None:
    said = run("note", trip, *line.split(), "--at", f"{place.lat_deg:.6f},{place.lon_deg:.6f}", "--day", "2027-04-24")
    assert said.code == 0, said.err


def test_a_second_plan_heeds_the_notes_of_the_first(country: Country, run: Any) -> None:
    trip = country.small_trip()
    settings, notes = read_trip(trip), ledger_file(trip)
    before = plan_morning(settings, QUICK, notes=notes)
    log, silent = before.stops[0].place, before.stops[-1].place
    note(run, trip, "log1 fresh 0910", log)
    note(run, trip, "0530-0630 nothing", silent)
    after = plan_morning(settings, QUICK, notes=notes)
    kept_off(before, after, log)
    worth_less(before, after)
    nothing_leaks(before, after)
    note(run, trip, "0640 b1 085 near", silent)
    choices_have_chance_and_minutes(run("tomorrow", trip, "--json"))


def test_a_plan_that_remembers_the_notes_is_the_plan_from_nothing(country: Country, run: Any) -> None:
    """Another reserve keeps the birds where they were fixed, another wind fixes them anew; the plan is the same."""
    trip, warm = country.small_trip(), WarmMorning()
    settings, notes = read_trip(trip), ledger_file(trip)
    stop = warm.solved(settings, notes, QUICK).morning.site.car
    note(run, trip, "0640 b1 085 near", stop)
    note(run, trip, "log1 fresh 0910", stop)
    warm.solved(settings, notes, QUICK)
    slower = replace(settings, walker=replace(settings.walker, reserve=settings.walker.reserve + 0.05))
    for changed in (slower, replace(slower, weather=replace(settings.weather, wind_at_ear_ms=1.4))):
        warm.solved(changed, notes, QUICK)
        kept = plan_morning(changed, QUICK, cache=warm.steps(changed, notes), notes=notes)
        new = plan_morning(changed, QUICK, notes=notes)
        assert new.notes_effect is not None
        assert kept.males == new.males
        assert kept.notes_effect is not None
        assert asdict(kept.notes_effect) == asdict(new.notes_effect)
        assert [(stop.place, stop.arrive) for stop in kept.stops] == [(stop.place, stop.arrive) for stop in new.stops]


def kept_off(before: Report, after: Report, log: Place) -> None:
    """No stop stands by the log, where one stood before; legs that a trail leads past it are said."""
    assert nearest_stop_m(before, log) < 1
    assert after.stops
    assert nearest_stop_m(after, log) >= after.settings.walker.stand_off_m
    effect = after.notes_effect
    assert effect is not None
    assert effect.logs == ("LOG01",)
    assert [one.left for one in effect.males] == [0.0], "a log that is known leaves nothing to learn by listening"
    near = [leg for leg in after.legs if np.hypot(*(leg.line_m - np.array(log.xy_m)).T).min() < 75]
    assert {(one.start, one.end) for one in effect.passed} >= {(leg.start, leg.end) for leg in near}
    said = summary(after)["notes"]
    assert said["logs_kept_off"] == ["LOG01"]
    assert any("keep 80 m off LOG01" in words for words in said["words"])


def worth_less(before: Report, after: Report) -> None:
    """An hour that heard nothing lowers the density, most of all where one stood."""
    assert after.notes_effect is not None
    density = after.notes_effect.density
    assert density is not None
    assert density.heard == 0
    assert density.expected > 0
    assert density.low < density.factor < 1
    assert density.males_unheard < density.factor * density.males_before
    assert after.males.expected < before.males.expected


def nothing_leaks(before: Report, after: Report) -> None:
    """What is shared says nothing of the notes, and draws the ground as it is without them."""
    assert "notes" not in summary(before)
    shared = summary(shared_report(after, 200.0))
    assert "notes" not in shared
    assert "LOG01" not in json.dumps(shared)
    assert after.country.density_per_km2.values.tobytes() == before.country.density_per_km2.values.tobytes()


def choices_have_chance_and_minutes(said: Any) -> None:
    """What tomorrow: film at the log that was found, close in on the male that was heard, listen, search."""
    assert said.code == 0, said.err
    fields = json.loads(said.out)
    assert fields["date"] == "2027-04-25"
    kinds = {one["activity"] for one in (*fields["dawn"], *fields["late"])}
    assert {"film", "close in", "listen"} <= kinds
    evening = fields["evening"]
    assert evening is None or (evening["males"] >= 0.5 and "2027-04-25T17" < evening["begin"] < evening["end"])
    assert all(0 < one["chance"] <= 1 and one["minutes"] > 0 for one in (*fields["dawn"], *fields["late"]))
