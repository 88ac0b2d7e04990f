"""The folder of a day that a plan or a search goes into, so that nothing is written over.

Which folders there are is notes/saved_plans.py's business; writing is write.py's.
"""

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from hushwalk.notes.saved_plans import SUMMARY, new_folder
from hushwalk.outputs.registry import Product


def day_folder(trip: Path, day: date, products: Sequence[Product], file: str = SUMMARY) -> Path:
    """Give the folder for products of a day; that of the last ones where they are the very same.

    Parameters
    ----------
    trip : the trip file.
    day : that is planned.
    products : to be written.
    file : the one of them that tells them from others.

    Returns
    -------
    Path
        ``out/2027-04-25``, then ``out/2027-04-25_2`` and so on.
    """
    content = next(product for product in products if product.file == file).content()

    def same(folder: Path) -> bool:
        try:
            return (folder / file).read_bytes() == content
        except OSError:
            return False

    return new_folder(trip, day, file, same)
