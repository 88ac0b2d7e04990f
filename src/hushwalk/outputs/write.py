"""Writes products into a folder: all of them, or none.

Which products there are is registry.py's business.
"""

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from hushwalk.errors import OutputError
from hushwalk.outputs.kit.staging import put_in_place, staging_folder
from hushwalk.outputs.registry import HEAVY, Product
from hushwalk.worker import Worker, submit


@dataclass(frozen=True)
class WrittenFile:
    """One file that was written, and what it took."""

    path: Path
    seconds: float
    size_bytes: int


def write(products: Sequence[Product], folder: Path, worker: Worker | None = None) -> tuple[WrittenFile, ...]:
    """Write products into a folder.

    Parameters
    ----------
    products : to be written.
    folder : is made where it is missing; files of the same names are replaced, all else in it is left alone.
    worker : draws what stands on big libraries while the rest is drawn here; None to draw one after the other.

    Returns
    -------
    tuple of WrittenFile
        One a product, in their order.

    Raises
    ------
    OutputError
        If the folder cannot be written to; the files that stood there before are left as they were.

    Notes
    -----
    All files are written into a staging folder first and take their places together when the last one is done.
    """
    try:
        with staging_folder(folder) as staging:
            made = _made(products, staging, worker)
            put_in_place(staging, folder, [one.path.name for one in made])
            return tuple(replace(one, path=folder / one.path.name) for one in made)
    except OutputError:  # an OSError too, but it says already how to mend it
        raise
    except OSError as fault:
        raise OutputError(
            f"the results cannot be written to {folder}: {fault.strerror or fault}; "
            "choose another folder with --out, or free its space and rights"
        ) from fault


def _made(products: Sequence[Product], staging: Path, worker: Worker | None) -> list[WrittenFile]:
    heavy = [product for product in products if product.name in HEAVY]
    pending = {product.file: submit(worker, _write, product, staging) for product in heavy}
    try:
        made = {p.file: _write(p, staging) for p in products if p.file not in pending}
        made |= {file: one.result() for file, one in pending.items()}
        return [made[product.file] for product in products]
    finally:
        if worker is not None:
            worker.finish()  # the staging folder must stay until nobody writes into it


def _write(product: Product, staging: Path) -> WrittenFile:
    start = time.perf_counter()
    path = staging / product.file
    path.write_bytes(product.content())
    return WrittenFile(path, time.perf_counter() - start, path.stat().st_size)
