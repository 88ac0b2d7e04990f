"""The person who listens: how far above or below the average ear, and by which evidence.

Learning it from notes is listener_offset.py's business.
"""

from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.science.sound_tables import sound_table

Evidence = Literal["focal", "middle", "pessimistic"]
EVIDENCE: tuple[Evidence, ...] = get_args(Evidence)
"""From the farthest hearing to the nearest."""


@dataclass(frozen=True)
class Listener:
    """A person who listens.

    Parameters
    ----------
    offset_db : better (positive) or worse than the average ear [dB].
    sd_db : spread of all that is not known about one display on one path [dB].
    evidence : ``"focal"``, as one who listens for this bird alone, ``"pessimistic"``, as counts of all species
        found it, or ``"middle"`` between them; the published distances differ by a factor of three to five.
    ear_height_m : above the ground [m].

    Raises
    ------
    SettingsError
        If a value cannot be.
    """

    offset_db: float = 0.0
    sd_db: float = 6.0
    evidence: Evidence = "focal"
    ear_height_m: float = 1.6

    def __post_init__(self) -> None:
        if not (np.isfinite(self.offset_db) and self.sd_db > 0 and self.ear_height_m > 0):
            raise SettingsError(
                f"a listener needs a finite offset_db, sd_db > 0 and ear_height_m > 0, got {self.offset_db}, "
                f"{self.sd_db} and {self.ear_height_m}"
            )
        if self.evidence not in get_args(Evidence):
            raise SettingsError(f"evidence is {self.evidence!r}, expected 'focal', 'middle' or 'pessimistic'")

    @property
    def gain_db(self) -> float:
        """What is added to every level for this person and this evidence [dB]."""
        return self.offset_db + evidence_db(self.evidence)


def evidence_db(evidence: Evidence) -> float:
    """What a level of evidence adds to every level [dB]."""
    return 0.0 if evidence == "focal" else float(sound_table("heard")[f"{evidence}_db"])


def usual_weights() -> tuple[float, ...]:
    """How probable each level of evidence is before anything was learnt, in the order of :data:`EVIDENCE`."""
    return tuple(float(weight) for weight in sound_table("heard")["weights"])
