"""What is being done, told step by step to whoever waits.

How a step is shown is the business of the command line.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace


@dataclass(frozen=True)
class Step:
    """One step of a long run.

    Parameters
    ----------
    name : what is done, as a person reads it.
    detail : what is known of it besides, following the name.
    done_before : share of the whole run that has gone when the step begins, 0..1; 0 where nobody knows.
    """

    name: str
    detail: str = ""
    done_before: float = 0.0

    @property
    def words(self) -> str:
        """Name and detail as one line.

        Examples
        --------
        >>> Step("choosing stops", "among 96 posts").words
        'choosing stops among 96 posts'
        """
        return f"{self.name} {self.detail}".strip()

    def of(self, detail: str) -> "Step":
        """Give the same step with a detail."""
        return replace(self, detail=detail)


Progress = Callable[[Step], None]
"""Is called as each step begins."""


def quiet(_: Step) -> None:
    """Tell nobody."""
