"""Draws the small pictures of docs/guide/campaign.md: the walk of each of three days and one evening of the demo.

The walks are planned on the demo's ground of 1,600 m round the car; what a run says is printed, for the page to quote.
"""

import sys
from dataclasses import replace
from pathlib import Path

import matplotlib as mpl
from matplotlib import pyplot as plt

from hushwalk.api.plots import draw_plan
from hushwalk.campaign.outings import campaign_days
from hushwalk.campaign.story import plan_campaign
from hushwalk.morning.report import Report
from hushwalk.morning.solved_plan import RunParams
from hushwalk.morning.story import plan_morning
from hushwalk.progress import Step
from hushwalk.site.evening import in_the_evening
from hushwalk.site.trip_file import read_trip
from hushwalk.wording.campaign_words import campaign_words
from hushwalk.wording.plan_words import summary_words

GUIDE = Path(__file__).with_name("guide")
DEMO = Path(__file__).parents[1] / "data_demo" / "trip.toml"
RUN = RunParams(search_s=None, iterations=300, proof_s=0.0, proof_nodes=60)
INCHES, DOTS = 4.2, 80  # definition: some 340 pixels, three of them side by side on a page


def draw(report: Report, name: str, words: str) -> None:
    """Draw one walk over the suitability into a picture of the guide."""
    figure, ax = plt.subplots(figsize=(INCHES, INCHES), layout="constrained")
    draw_plan(report, ax)
    for other in [other for other in figure.axes if other is not ax]:
        other.remove()  # the bar of colours, which the map page explains
    ax.set(title=words, xlabel="", ylabel="", xticks=[], yticks=[])
    figure.savefig(GUIDE / name, dpi=DOTS, pil_kwargs={"optimize": True}, metadata={"Software": None})
    plt.close(figure)


def told(step: Step) -> None:
    """Say on the error stream what is under way."""
    print(step.name, file=sys.stderr)


def main() -> None:
    """Plan, print and draw."""
    mpl.use("agg")
    settings = read_trip(DEMO)
    settings = replace(settings, ground=replace(settings.ground, reach_m=1600.0))
    campaign = plan_campaign(settings, campaign_days(settings, 3), RUN, told)
    print(campaign_words(campaign))
    for k, day in enumerate(campaign.days, start=1):
        words = f"{day.day:%A}: {day.new_males:.1f} males on no day before"
        draw(day.report, f"campaign_day_{k}.png", words)
    evening = plan_morning(in_the_evening(settings), RUN, told)
    print(summary_words(evening))
    draw(evening, "campaign_evening.png", f"{evening.depart:%A} evening: {evening.males.expected:.1f} males")


if __name__ == "__main__":
    main()
