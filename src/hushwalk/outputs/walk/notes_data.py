"""What field notes and wishes change, as figures for summary.json, with the words beside them.

The facts are morning/notes_effect.py's and wish_effect.py's. No place of a bird stands here.
"""

from dataclasses import asdict
from typing import Any

from hushwalk.morning.notes_effect import NotesEffect
from hushwalk.morning.wish_effect import WishEffect
from hushwalk.wording.notes_effect_words import notes_effect_sentences
from hushwalk.wording.wish_words import wish_sentences

Json = dict[str, Any]


def notes_fields(effect: NotesEffect | None) -> Json:
    """Give the figures under the key ``notes``; nothing where there are no notes."""
    if effect is None:
        return {}
    update = effect.density
    return {
        "notes": {
            "mornings": [day.isoformat() for day in effect.days],
            "stops": effect.stops,
            "this_morning": effect.this_morning,
            "density": None if update is None else {key: round(value, 3) for key, value in asdict(update).items()},
            "males": [
                {
                    "number": one.male.number,
                    "mornings": [[day.isoformat(), name] for day, name in one.male.mornings],
                    "logs": list(one.male.logs),
                    "area_ha": round(one.male.area_ha, 2),
                    "left_to_learn": round(one.left, 3),
                }
                for one in effect.males
            ],
            "stand_off_m": effect.stand_off_m,
            "logs_kept_off": list(effect.logs),
            "no_stop_ha": round(effect.no_stop_ha, 2),
            "no_leg_ha": round(effect.no_leg_ha, 2),
            "logs_passed": [
                {"log": one.log, "start": one.start, "end": one.end, "distance_m": round(one.distance_m, 1)}
                for one in effect.passed
            ],
            "words": list(notes_effect_sentences(effect)),
        }
    }


def wish_fields(effect: WishEffect | None) -> Json:
    """Give the figures under the key ``wishes``; nothing where nothing was wished."""
    if effect is None:
        return {}
    figures = {key: round(value, 3) if isinstance(value, float) else value for key, value in asdict(effect).items()}
    return {"wishes": {**figures, "words": list(wish_sentences(effect))}}
