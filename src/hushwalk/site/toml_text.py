"""Reads the text of a settings file, and names the slip where it is no TOML: the line, the key, the mend.

What the keys mean is trip_file.py's business.
"""

import re
import tomllib
from pathlib import Path
from typing import Any

from hushwalk.errors import MissingFileError, SettingsError
from hushwalk.text import one_line

MOST_BYTES = 1_000_000  # judgement: a hundred times the longest trip file; more is another kind of file
MOST_NESTED = 50  # judgement: a settings file nests three deep; thousands take the memory of the machine

_AT = re.compile(r"\(at line (\d+), column \d+\)|\(at end of document\)")
_KEY = re.compile(r"\s*([\w.-]+)\s*[=:]\s*(.*)$")
_CURLY = "\u201c\u201d\u201e\u00ab\u00bb\u2018\u2019"


def settings_text(path: Path, missing: str) -> str:
    """Read the text of a settings file, with or without the mark that some editors put at its beginning.

    Parameters
    ----------
    path : the file.
    missing : what to say if it is not there.

    Raises
    ------
    MissingFileError
        If the file is not there.
    SettingsError
        If it is no plain file, far too large, cannot be read, or is no UTF-8 text.
    """
    try:
        if path.is_dir():
            raise SettingsError(f"{path} is a folder; name the file in it")
        if path.exists() and not path.is_file():
            raise SettingsError(f"{path} is no plain file but a pipe or a device; name a file")
        if path.exists() and path.stat().st_size > MOST_BYTES:
            raise SettingsError(f"{path} is larger than {MOST_BYTES // 10**6} MB; that is no settings file")
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise MissingFileError(missing) from None
    except UnicodeDecodeError as fault:
        raise SettingsError(f"{path} is not UTF-8 text (byte {fault.start}); save it as UTF-8") from None
    except (OSError, ValueError) as fault:
        if isinstance(fault, SettingsError):
            raise
        said = getattr(fault, "strerror", None) or fault
        raise SettingsError(f"{one_line(str(path))} cannot be read: {said}") from None


def tables_of(text: str, file_name: str) -> dict[str, Any]:
    """Turn the text of a TOML file into its tables.

    Raises
    ------
    SettingsError
        If it is no TOML; the line, the key and the likely slip are named.
    """
    for number, line in enumerate(text.splitlines(), start=1):
        if max(line.count("."), line.count("["), line.count("{")) > MOST_NESTED and _nests(line):
            raise SettingsError(f"{file_name}: line {number} nests more than {MOST_NESTED} deep; no key here does")
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as fault:  # numbers of thousands of digits are a ValueError of their own
        raise SettingsError(_words(text, file_name, str(fault))) from None


def _nests(line: str) -> bool:
    """Whether a line goes deep by dots in its key, or by brackets in its value."""
    key, _, value = line.partition("=")
    bare = re.sub(r"\"[^\"]*\"|'[^']*'", "", value)
    deepest = depth = 0
    for sign in bare:
        depth += (sign in "[{") - (sign in "]}")
        deepest = max(deepest, depth)
    return key.count(".") > MOST_NESTED or deepest > MOST_NESTED or line.lstrip().startswith("[" * 3)


def _words(text: str, file_name: str, said: str) -> str:
    at = _AT.search(said)
    lines = text.splitlines()
    if "digits" in said:
        return f"{file_name} holds a number of thousands of digits; write a plain number"
    number = int(at[1]) if at and at[1] else len(lines)
    line = lines[number - 1] if 0 < number <= len(lines) else ""
    if not line.strip() and number > 1:  # what was not closed ends one line further down
        number, line = number - 1, lines[number - 2]
    if mend := _mend(line):
        return f"{file_name}: line {number}: {mend}"
    return f"{file_name} is not valid TOML: {said}"


def _mend(line: str) -> str:
    """Say what is likely wrong with a line, and how it should stand; nothing where it is anyone's guess."""
    bare = line.strip()
    if bare.startswith("[") and bare.count("[") != bare.count("]") and "=" not in bare:
        name = bare.strip("[] ")
        whole = f"[[{name}]]" if bare.startswith("[[") or bare.endswith("]]") else f"[{name}]"
        return f"{bare!r} lacks a bracket; write {whole}"
    found = _KEY.match(line)
    if found is None:
        return ""
    key, value = found[1], found[2].partition(" #")[0].strip()
    if "=" not in line.partition(":")[0] and ":" in line:
        return f"{key} is given with a colon; write {key} = {value}"
    for fits, mend in _SLIPS:
        if held := re.fullmatch(fits, value):
            return f"{key} = {one_line(value, 60)}: {mend.format(*held.groups(), key=key, value=one_line(value, 60))}"
    return ""


_SLIPS = (
    (r"", "there is no value; give one or take the key out"),
    (r"(\d\d:\d\d)", "a time has seconds; write {key} = {0}:00"),
    (r"(\d):(\d\d)(?::\d\d)?", "a time has two digits for the hour and seconds; write {key} = 0{0}:{1}:00"),
    (r"(\d\d?)\.(\d\d?)\.(\d{4})", "a date begins with the year; write {key} = YYYY-MM-DD, such as 2027-04-25"),
    (
        r"(\d{4})-(\d\d?)-(\d\d?)",
        "there is no such date; month and day have two digits, as in 2027-04-25",
    ),
    (r"([+-]?\d+),(\d+)", "the decimal sign is a point; write {key} = {0}.{1}"),
    (rf"[{_CURLY}](.*?)[{_CURLY}]?", 'these are printer\'s quotes; write {key} = "{0}" with plain ones'),
    (r'"([^"]*\\[^"]*)"', "a backslash means something else in TOML; write the path with / or in '...'"),
    (r"([\"'])([^\"']+)", "the quote is not closed; write {key} = {0}{1}{0}"),
    (r"\"([^\"]*)\"([^\"]*)", "something stands behind the value; take it out, or write a # before it"),
    (r"([+-]?[\d.:_-]+)\s+.+", "something stands behind the value; take it out, or write a # before it"),
    (r"(True|False|yes|no|YES|NO|TRUE|FALSE|on|off)", "write true or false"),
    (r"([^\W\d][^\"'=\[\]{{}}]*)", 'a text stands in quotes; write {key} = "{0}"'),
)
"""What stands behind the equals sign, and the mend; the first that fits."""
