"""What an animal needs of the ground: one need a variable, with its curve, weight, role and evidence.

The numbers are on the species card; measuring the ground is ingredients.py's business.
"""

from dataclasses import dataclass
from typing import Literal

from hushwalk.errors import SettingsError
from hushwalk.grid.layer import Layer
from hushwalk.science.curves import Curve

Role = Literal["limiting", "compensating"]
Grade = Literal["found", "second hand", "assumed"]


@dataclass(frozen=True)
class Need:
    """One thing that an animal asks of the ground.

    Parameters
    ----------
    key : name of the ingredient that answers it.
    label, unit : in plain words, and the unit of the measured value.
    role : ``"limiting"`` multiplies, ``"compensating"`` averages with the others of its kind.
    weight : 0 or more; for a limiting need the power of its score, for a compensating one its share of the mean.
    curve : measured value -> score 0..1.
    season : when it holds.
    source, grade : where curve and weight come from, and what was found of it.
    when_absent : score to take where the layer is missing altogether; None leaves the need out. A need with such a
        score is the main one: cells where its layer is unknown stay unknown.
    absent_source : where that score comes from.
    optional : seldom mapped, so that its absence is no news.
    stands_in_for : key of another need that tells the same where that one's layer says nothing, or an empty text.

    Raises
    ------
    SettingsError
        If a number cannot be.
    """

    key: str
    label: str
    unit: str
    role: Role
    weight: float
    curve: Curve
    season: str
    source: str
    grade: Grade
    when_absent: float | None = None
    absent_source: str = ""
    optional: bool = False
    stands_in_for: str = ""

    def __post_init__(self) -> None:
        if not self.weight >= 0:
            raise SettingsError(f"need {self.key!r}: a weight is 0 or more, got {self.weight}")
        if self.when_absent is not None and not (0 <= self.when_absent <= 1 and self.absent_source):
            raise SettingsError(f"need {self.key!r}: when_absent is a score 0..1 with an absent_source")

    @property
    def main(self) -> bool:
        """Whether nothing can be said of a cell without it."""
        return self.role == "limiting" and self.when_absent is not None

    @property
    def assumed(self) -> bool:
        """Whether no source supports it."""
        return self.grade == "assumed"

    def score(self, measured: Layer) -> Layer:
        """Pass a measured layer through the curve.

        Parameters
        ----------
        measured : in the unit of the need.

        Returns
        -------
        Layer
            0..1, NaN where the measure is.
        """
        return measured.with_values(
            self.curve(measured.values), name=f"score of {self.label}", unit="1", step=f"scored as {self.label}"
        )
