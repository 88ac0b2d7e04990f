"""From which suitability on ground is shaded as good: the same figure on every sheet, that of the species card.

How it is shaded is print_map.py's business; the page shows the whole ramp of the palette.
"""

from dataclasses import dataclass

import numpy as np

from hushwalk.site.country import Country

TOO_LITTLE = 0.01  # judgement: where less than a hundredth is good, a map without shading tells nobody where to look
BEST_SHARE = 0.1  # judgement: the best tenth of poor ground is what one would look at first


@dataclass(frozen=True)
class GoodGround:
    """Least suitability of the ground that is shaded; ``relative`` where all is poor and the best of it is shaded."""

    least: float
    relative: bool = False

    @property
    def words(self) -> str:
        """What the shading means."""
        if self.relative:
            return f"best tenth of poor ground ({self.least:.2f} on)"
        return f"good ground ({self.least:.2f} or better)"


def good_ground(country: Country) -> GoodGround | None:
    """Say what is shaded; nothing where no ground is worth anything to the bird."""
    known = country.suitability.values[country.suitability.known]
    if not known.size or known.max() <= 0:
        return None
    if (known >= country.good_from).mean() >= TOO_LITTLE:
        return GoodGround(country.good_from)
    least = float(np.quantile(known, 1 - BEST_SHARE))
    return GoodGround(least, relative=True) if least > 0 else GoodGround(float(known[known > 0].min()), relative=True)
