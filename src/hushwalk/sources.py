"""Where every number comes from: published sources by key.

The texts live in data/sources/*.toml, one file a subject; no number is kept here.
"""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from hushwalk.errors import SourceError

JUDGEMENT = "judgement:"
DEFINITION = "definition"


@dataclass(frozen=True)
class Source:
    """One published source.

    Parameters
    ----------
    key : the word used to cite it, such as ``"iso_9613_2_1996"``.
    text : author, year, title and where it was published.
    found : what was read of it: ``"full text"``, ``"abstract"``, ``"second hand"`` or ``"from memory"``.
    note : what the numbers taken from it are, and anything doubtful about them.
    link : a DOI or public address, or an empty text.
    """

    key: str
    text: str
    found: str
    note: str = ""
    link: str = ""


@cache
def all_sources() -> dict[str, Source]:
    """Read every sources file.

    Returns
    -------
    dict
        key -> :class:`Source`, in the order of file name and of key.

    Raises
    ------
    SourceError
        If a key stands in two files.
    """
    found: dict[str, Source] = {}
    folder = files("hushwalk") / "data" / "sources"
    for path in sorted((p for p in folder.iterdir() if p.name.endswith(".toml")), key=lambda p: p.name):
        for key, fields in sorted(tomllib.loads(path.read_text(encoding="utf-8")).items()):
            if key in found:
                raise SourceError(f"source {key!r} stands in two sources files, the second is {path.name}")
            found[key] = Source(key=key, **fields)
    return found


def cite(key: str) -> str:
    """Give the words for a source key, a judgement or a definition.

    Parameters
    ----------
    key : a key of the sources files, ``"judgement: why"`` or ``"definition"``.

    Returns
    -------
    str
        The full reference, or the judgement's own words.

    Raises
    ------
    SourceError
        If the key is not in the sources files.

    Examples
    --------
    >>> cite("definition")
    'definition'
    """
    if key == DEFINITION or key.startswith(JUDGEMENT):
        return key
    try:
        return all_sources()[key].text
    except KeyError:
        raise SourceError(
            f"no source {key!r} in data/sources; add it there, or write 'judgement: why' or 'definition'"
        ) from None
