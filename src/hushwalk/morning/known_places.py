"""What was worked out for places of one morning's ground: what is heard there, and the legs between them.

It belongs to one graph, one limit of time and one soundscape; whoever keeps it sees to that.
"""

from dataclasses import dataclass, field, replace

import numpy as np
from scipy.sparse import csr_array, vstack

from hushwalk.hearing.coverage import Coverage
from hushwalk.hearing.soundscape import Soundscape
from hushwalk.types import FloatArray
from hushwalk.walking.times import KnownLegs


@dataclass(frozen=True, eq=False)
class KnownHearing:
    """What is heard from places of one soundscape, each as a coverage of one row."""

    rows: dict[tuple[float, float], Coverage] = field(default_factory=dict, repr=False)

    def coverage(self, soundscape: Soundscape, posts_m: FloatArray) -> Coverage:
        """Give what posts hear, as the soundscape itself would; what is new is kept.

        Parameters
        ----------
        soundscape : always the same one.
        posts_m : shape (n, 2) [m].

        Returns
        -------
        Coverage
            Its unknown share is the mean of the posts' own.
        """
        keys = [(float(x), float(y)) for x, y in posts_m]
        new = [key for key in dict.fromkeys(keys) if key not in self.rows]
        if new:
            found = soundscape.coverage(np.array(new))
            for k, key in enumerate(new):
                self.rows[key] = found.of_posts([k])
        rows = [self.rows[key] for key in keys]
        share = float(np.mean([row.unknown_share for row in rows])) if rows else 0.0
        return replace(rows[0], chance=csr_array(vstack([row.chance for row in rows])), unknown_share=share)


@dataclass(frozen=True, eq=False)
class KnownPlaces:
    """Hearing and legs that were worked out before."""

    heard: KnownHearing = field(default_factory=KnownHearing)
    legs: KnownLegs = field(default_factory=KnownLegs)
