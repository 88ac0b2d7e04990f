"""Where one may walk in sentences: what is left out of the walk, and what the layers do not say.

The facts are those of passage.py.
"""

from hushwalk.site.passage import PassageFacts
from hushwalk.wording.measures import distance, route

WORTH_KM = 0.05  # judgement: less than a hundred paces is worth no word


def passage_sentences(facts: PassageFacts | None) -> tuple[str, ...]:
    """Say what is left out of the walk and what is assumed of the rest; nothing where that is withheld."""
    if facts is None:
        return ()
    return (*_left_out(facts), *_unsaid(facts), *_houses(facts))


def _left_out(facts: PassageFacts) -> tuple[str, ...]:
    shut = ((0.0 if facts.leave else facts.private_km, "private ways"), (facts.motorway_km, "motorways and ramps"))
    parts = [f"{route(1000 * km)} of {what}" for km, what in shut if km >= WORTH_KM]
    said = [f"{' and '.join(parts)} are not walked"] if parts else []
    if facts.private_km >= WORTH_KM:
        said.append(
            f"{route(1000 * facts.private_km)} of private ways are walked, as the trip file says the owners allow it"
            if facts.leave
            else "private ways are crossed off the path where the land is open, the short way, and never followed; a "
            'layer of kind closed bars crossing too, private_ways = "walk" opens them to those who have leave'
        )
    return tuple(said)


def _unsaid(facts: PassageFacts) -> tuple[str, ...]:
    said = []
    if facts.unclassed_km >= WORTH_KM:
        said.append(
            f"the layers do not say of what class {_of(facts.unclassed_km, facts.ways_km)} of roads and trails are: "
            "they are taken for streets and paths"
        )
    if facts.unsaid_km >= WORTH_KM:
        said.append(
            f"the layers do not say who may walk {_of(facts.unsaid_km, facts.ways_km)} of roads and trails: "
            "they are taken as open to everybody"
        )
    return tuple(said)


def _of(part_km: float, ways_km: float) -> str:
    return f"{route(1000 * part_km).partition(' ')[0]} of {route(1000 * ways_km)}"


def _houses(facts: PassageFacts) -> tuple[str, ...]:
    far = facts.keep
    if facts.houses is not None:
        first = f"no stop lies within {distance(far.stop_m)} of a house that a layer shows"
        return (f"{first}, and no step off roads and trails within {distance(far.leg_m)}",)
    keep = f"keep {distance(far.stop_m)} off when you stand and {distance(far.leg_m)} when you walk"
    if facts.built_up_km2 > 0:
        return (f"no layer shows houses: built-up cover stands for them, and a single house may be missing; {keep}",)
    return (f"no layer shows houses, so the plan does not keep off them; {keep}",)
