"""The hours before sunset: the optional [evening] table of a trip file.

What a walk in the evening takes from it is evening.py's business; all other tables are in settings.py.
"""

from dataclasses import dataclass
from typing import Any, ClassVar

from hushwalk.site.campaign_settings import OtherHours
from hushwalk.site.checked import STRICT, checked


@checked
@dataclass(frozen=True)
class EveningSettings(OtherHours):
    """When one walks in the evening, and what its weather is.

    ``after_dark`` allows a walk back in the dark, when civil twilight is over.
    """

    __pydantic_config__: ClassVar[dict[str, Any]] = STRICT

    after_dark: bool = False
