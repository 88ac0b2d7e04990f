"""On which line of a TOML text each table and key stands, for messages.

What the keys mean is trip_file.py's business.
"""

import re

Location = tuple[str | int, ...]


def key_lines(text: str) -> dict[Location, int]:
    """Line number of every table and key of a TOML text.

    Returns
    -------
    dict
        location such as ``("layer", 0, "path")`` -> line, counted from 1.

    Examples
    --------
    >>> key_lines("seed = 3")[("seed",)]
    1
    """
    found: dict[Location, int] = {}
    counts: dict[str, int] = {}
    table: Location = ()
    for number, line in enumerate(text.splitlines(), start=1):
        if header := re.match(r"\s*\[\[\s*([\w.\"'-]+)\s*\]\]", line):
            name = header[1]
            counts[name] = counts.get(name, -1) + 1
            table = (*_dotted(name), counts[name])
            found.setdefault(table, number)
        elif header := re.match(r"\s*\[\s*([\w.\"'-]+)\s*\]", line):
            table = _dotted(header[1])
            if table[0] in counts:  # [layer.classes] belongs to the last [[layer]]
                table = (table[0], counts[str(table[0])], *table[1:])
            found.setdefault(table, number)
        elif key := re.match(r"\s*([\w.\"'-]+)\s*=", line):
            found.setdefault((*table, *_dotted(key[1])), number)
    return found


def _dotted(name: str) -> Location:
    return tuple(part.strip("\"' ") for part in name.split("."))
