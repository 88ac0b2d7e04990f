"""What a person decides about the walk: the optional [wishes] table of a trip file.

What a plan makes of it is morning/wishes.py's business; all other tables are in settings.py.
"""

from dataclasses import dataclass
from typing import Annotated, Any, ClassVar

from annotated_types import Ge, Le

from hushwalk.errors import PlaceError, SettingsError
from hushwalk.grid.points import parse_place
from hushwalk.site.checked import STRICT, checked

LINE_ENDS = 2  # definition: a line has two places or more


@checked
@dataclass(frozen=True)
class WishSettings:
    """What must be, and what must not.

    Every place is any text that is read as a place: degrees, UTM or USNG. ``must`` lists stops that must be,
    ``must_not`` places where no stop must be, ``not_across`` lines that nobody crosses, each of two places or more;
    ``start`` is where one is set down, if not at the car, to which one walks back;
    ``shorter_minutes`` is how much sooner one is back than by ``morning.back_by``; ``other_way_back`` asks for another
    way back than the way out.
    """

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    must: tuple[str, ...] = ()
    must_not: tuple[str, ...] = ()
    not_across: tuple[tuple[str, ...], ...] = ()
    start: str | None = None
    shorter_minutes: Annotated[int, Ge(0), Le(600)] = 0
    other_way_back: bool = False

    def __post_init__(self) -> None:
        if any(len(line) < LINE_ENDS for line in self.not_across):
            raise SettingsError(
                "wishes.not_across: a line needs two places or more, as [['47.38, -90.35', '47.39, -90.35']]"
            )
        for key, said in self._places():
            try:
                parse_place(said)
            except PlaceError as fault:
                raise PlaceError(f"wishes.{key}: {fault}") from None

    def _places(self) -> list[tuple[str, str]]:
        """Every place that is named, with its key."""
        start = [("start", self.start)] if self.start is not None else []
        keyed = (("must", self.must), ("must_not", self.must_not), *(("not_across", line) for line in self.not_across))
        return [*start, *((key, said) for key, places in keyed for said in places)]
