"""A campaign of days as data.

Each day by itself is outputs/walk's.
"""

import json
from typing import Any

from hushwalk.campaign.campaign_plan import Campaign
from hushwalk.wording.campaign_words import campaign_sentences, day_words

SCHEMA = "hushwalk campaign 1"


def campaign_fields(campaign: Campaign) -> dict[str, Any]:
    """Give the days, what they hear together, the bound, and what a lost day costs, with the words beside them."""
    return {
        "schema": SCHEMA,
        "title": campaign.title,
        "males": round(campaign.males, 3),
        "bound": None if campaign.bound is None else round(campaign.bound, 3),
        "repeated": None if campaign.repeated is None else round(campaign.repeated, 3),
        "days": [
            {
                "date": day.day.isoformat(),
                **_hours(day.evening),
                **({"person": day.person} if day.person else {}),
                "car": {"lon_deg": day.report.car.lon_deg, "lat_deg": day.report.car.lat_deg},
                "males": round(day.report.males.expected, 3),
                "new_males": round(day.new_males, 3),
                **({} if day.walked_twice is None else {"walked_twice": round(day.walked_twice, 3)}),
                "words": day_words(day),
            }
            for day in campaign.days
        ],
        "rained_out": [
            {
                "date": one.day.isoformat(),
                **_hours(one.evening),
                "males_kept": round(one.males_kept, 3),
                "males_anew": None if one.males_anew is None else round(one.males_anew, 3),
            }
            for one in campaign.rained_out
        ],
        "words": list(campaign_sentences(campaign)),
    }


def _hours(evening: bool) -> dict[str, str]:
    return {"part_of_day": "evening"} if evening else {}


def campaign_text(campaign: Campaign) -> str:
    """Write a campaign as JSON."""
    return json.dumps(campaign_fields(campaign), indent=1, allow_nan=False) + "\n"
