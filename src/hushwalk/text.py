"""Words of strangers made fit to be shown, such as names out of files and notes; and how many of a thing there are.

Escaping for HTML, XML and tables is the outputs' business; here goes what no page should hold at all.
"""

import os
import re
import shlex
import subprocess
from collections.abc import Sequence

# control characters, surrogates and non-characters, and the marks that turn the direction of what follows
UNSEEN = re.compile(r"[\x00-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff\ufff9-\uffff\ud800-\udfff]")


def seen(text: str) -> str:
    r"""Give the lines of a text without anything that is not seen and could steer a terminal or a page.

    Examples
    --------
    >>> seen("calm\x1b[2J,\tfrost\n\u202eclear")
    'calm[2J, frost\nclear'
    """
    return "\n".join(UNSEEN.sub("", line.replace("\t", " ")) for line in text.split("\n"))


NAME_SIGNS = 120  # judgement: longer than any name on a map, and it still fits on a sheet
MESSAGE_SIGNS = 4000  # judgement: a screen or two


def one_line(text: str, most: int = NAME_SIGNS) -> str:
    r"""Give a text as one line of at most ``most`` signs, without anything that is not seen.

    Examples
    --------
    >>> one_line("Elm\tCreek \x1b[31m\u202e")
    'Elm Creek [31m'
    >>> one_line("a" * 200, most=5)
    'aaaa…'
    """
    beginning = text[: 4 * most]  # what follows cannot be seen anyway
    line = " ".join(UNSEEN.sub("", re.sub(r"\s", " ", beginning)).split())
    return line if len(line) <= most and len(beginning) == len(text) else f"{line[: most - 1]}…"


def message(text: str) -> str:
    r"""Give a message line by line without anything that could steer a terminal.

    Examples
    --------
    >>> message("two\nlines\x1b[2J")
    'two\nlines[2J'
    """
    kept = "\n".join(UNSEEN.sub("", line) for line in text[:MESSAGE_SIGNS].split("\n"))
    return kept if len(text) <= MESSAGE_SIGNS else f"{kept}…"


def counted(n: int, noun: str) -> str:
    """Say how many there are.

    Examples
    --------
    >>> counted(1, "morning"), counted(2, "morning"), counted(0, "log")
    ('1 morning', '2 mornings', '0 logs')
    """
    return f"{n} {plural(n, noun)}"


def plural(n: int, noun: str) -> str:
    """Give a word for one or for several."""
    return noun if n == 1 else f"{noun}s"


def file_word(name: str) -> str:
    """Give the name of a log or of a person as a word that is safe in a file name on every system.

    Examples
    --------
    >>> file_word("Bo d'Alder")
    'bo_d_alder'
    """
    return re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_")[:40] or "log"


def typed(words: Sequence[object]) -> str:
    """Give a command as it is typed on this system, with quotes round words that need them.

    Examples
    --------
    >>> typed(["hushwalk", "plan", "north_ridge/trip.toml"])
    'hushwalk plan north_ridge/trip.toml'
    """
    written = list(map(str, words))
    return subprocess.list2cmdline(written) if os.name == "nt" else shlex.join(written)
