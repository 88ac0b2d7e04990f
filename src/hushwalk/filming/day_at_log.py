"""One day at one log: the sky, the light on the bird, the session, and how many males display.

How it is filled is log_days.py's business.
"""

from dataclasses import dataclass, field
from datetime import date, datetime

from hushwalk.filming.expected_sky import DayForecast
from hushwalk.filming.log_light import LogLight
from hushwalk.filming.sessions import Session, hours_table
from hushwalk.filming.sky_day import SkyDay, Spell


@dataclass(frozen=True, eq=False)
class DayAtLog:
    """One day at one log: sky, spells of sun and shade, light on the bird, the session, and how many males display.

    The session is None where the sun does not rise or set; ``season`` is against the best of the year, 0..1;
    ``expected`` is the weather.
    """

    day: date
    sky: SkyDay = field(repr=False)
    spells: tuple[Spell, ...] = field(repr=False)
    light: LogLight = field(repr=False)
    session: Session | None
    season: float = 1.0
    expected: DayForecast = field(default_factory=DayForecast)

    @property
    def in_season(self) -> bool:
        """Whether enough males display for a session to make sense."""
        return bool(self.season >= hours_table()["session"]["season_least"])

    @property
    def score(self) -> float:
        """Worth of the session in hours; -1 where there is none."""
        return -1.0 if self.session is None else self.session.score

    def sun_span(self) -> tuple[datetime, datetime] | None:
        """First minute in sun and first minute no longer in sun, or None."""
        lit = [spell for spell in self.spells if spell.state == "sun"]
        return (self.sky.at(lit[0].start_min), self.sky.at(lit[-1].end_min)) if lit else None
