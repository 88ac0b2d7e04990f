"""The folder of a day that a plan or a search goes into, so that nothing is written over.

Which folders there are is notes/saved_plans.py's business; writing is write.py's.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from itertools import count
from pathlib import Path

from hushwalk.campaign.campaign_plan import Campaign
from hushwalk.campaign.two_people import TwoPeople
from hushwalk.notes.saved_plans import EVENING, PLANS, SUMMARY, new_folder
from hushwalk.outputs.registry import Product, campaign_products, walk_products
from hushwalk.outputs.write import write
from hushwalk.text import file_word
from hushwalk.wording.two_people_words import title_words


def day_folder(
    trip: Path, day: date, products: Sequence[Product], file: str = SUMMARY, *, evening: bool = False
) -> Path:
    """Give the folder for products of a day; that of the last ones where they are the very same.

    Parameters
    ----------
    trip : the trip file.
    day : that is planned.
    products : to be written.
    file : the one of them that tells them from others.
    evening : whether they are of the evening of that day.

    Returns
    -------
    Path
        ``out/2027-04-25``, then ``out/2027-04-25_2`` and so on; ``out/2027-04-25-evening`` for an evening.
    """
    content = next(product for product in products if product.file == file).content()

    def same(folder: Path) -> bool:
        try:
            return (folder / file).read_bytes() == content
        except OSError:
            return False

    return new_folder(trip, day, file, same, evening=evening)


def write_campaign(trip: Path, campaign: Campaign, out: Path | None = None) -> tuple[Path, ...]:
    """Write the products of every day into its folder, and those of all days together beside the first day's.

    Parameters
    ----------
    trip : the trip file.
    campaign : days planned together.
    out : in which every day gets a folder, whose files are replaced; None for the trip's own, where nothing is.

    Returns
    -------
    tuple of Path
        What was written.

    Raises
    ------
    OutputError
        If a folder cannot be written to; days before it stand by then, and are whole.
    """
    written: list[Path] = []
    for k, day in enumerate(campaign.days):
        products = walk_products(day.report)
        name = f"{day.day}{EVENING if day.evening else ''}"
        folder = out / name if out else day_folder(trip, day.day, products, evening=day.evening)
        more = campaign_products(campaign) if k == 0 else ()
        written += [file.path for file in write((*products, *more), folder)]
    return tuple(written)


def write_two(
    trip: Path, two: TwoPeople, out: Path | None = None, campaign: Campaign | None = None
) -> tuple[Path, ...]:
    """Write the products of two people into a folder each, inside that of the day.

    Parameters
    ----------
    trip : the trip file.
    two : a morning of two people.
    out : in which each gets a folder, whose files are replaced; None for the trip's own, where nothing is.
    campaign : all days of the two, written beside the first one's walk; None for one morning.

    Returns
    -------
    tuple of Path
        What was written.

    Raises
    ------
    OutputError
        If a folder cannot be written to.
    """
    written: list[Path] = []
    root = out or trip.parent / PLANS / f"{two.day}{EVENING if two.evening else ''}"
    words = [file_word(walker.name) for walker in two.walkers]
    words = words if words[0] != words[1] else [f"{words[0]}_{k}" for k in (1, 2)]
    number = next(k for k in count(1) if out or not any((root / _numbered(word, k)).exists() for word in words))
    for k, word in enumerate(words):
        products = walk_products(replace(two.walkers[k].report, title=title_words(two, k)))
        more = campaign_products(campaign) if campaign is not None and k == 0 else ()
        written += [file.path for file in write((*products, *more), root / _numbered(word, number))]
    return tuple(written)


def _numbered(word: str, number: int) -> str:
    return word if number == 1 else f"{word}_{number}"
