"""Writes the invented trip that travels with the program, for whoever wants to try the rest on it.

The files are site/demo_trip.py's.
"""

from pathlib import Path

from hushwalk.site.demo_trip import copy_demo


def write_demo(folder: str | Path) -> Path:
    """Write the invented trip into a folder, which is made if it is not there.

    Parameters
    ----------
    folder : for the trip file and its layers.

    Returns
    -------
    Path
        The trip file.

    Raises
    ------
    OutputError
        If there is a trip.toml already, or the folder cannot be written.
    """
    return copy_demo(Path(folder))
