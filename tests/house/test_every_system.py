"""Nothing of the program assumes one system: names, locks, signals, encodings and times as every system has them."""

import ast
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "hushwalk"
FILES = sorted(SOURCE.rglob("*.py"))
MODULES = {"fcntl", "pwd", "grp", "resource", "termios", "tty", "syslog", "posix", "msvcrt", "winreg"}
"""Modules of the standard library that some systems lack."""
ONLY_SOME = {
    "os": {
        *("fork", "getuid", "geteuid", "getgid", "kill", "killpg", "setsid", "uname", "mkfifo", "chown", "getpgid"),
        *("rename", "symlink", "wait"),
    },
    "signal": {"SIGKILL", "SIGHUP", "SIGALRM", "SIGUSR1", "SIGUSR2", "SIGQUIT", "SIGPIPE", "alarm", "set_wakeup_fd"},
}
"""Names of modules that only some systems have, or that mean something else on others."""
TEXT_CALLS = {"read_text", "write_text"}
PLACES = re.compile(r"^(/tmp|/dev/|/usr/|/etc/|/var/|/proc/|[A-Z]:\\)")
BARE_DAY = re.compile(r"%[-#][dHIjmMSUwWy]")


def name_of(path: Path) -> str:
    return path.relative_to(SOURCE).as_posix()


def slips(path: Path) -> Iterator[str]:
    """Slips of one file, each with its line; a function that looks which system it is on may use what few have."""
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    guarded = {
        line
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef) and re.search(r"os\.name|hasattr\(os|sys\.platform", ast.unparse(node))
        for line in range(node.lineno, (node.end_lineno or 0) + 1)
    }
    for node in ast.walk(tree):
        line = getattr(node, "lineno", 0)
        if line in guarded and not isinstance(node, ast.Call):
            continue
        if isinstance(node, ast.Import | ast.ImportFrom):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else [node.module or ""]
            yield from (f"{line}: imports {name}" for name in names if name.split(".")[0] in MODULES)
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            if node.attr in ONLY_SOME.get(node.value.id, ()):
                yield f"{line}: {node.value.id}.{node.attr}"
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            if PLACES.match(node.value):
                yield f"{line}: a path of one system, {node.value[:30]!r}"
            if BARE_DAY.search(node.value):
                yield f"{line}: a format that one system knows, {node.value[:30]!r}"
        elif isinstance(node, ast.Call):
            yield from (f"{line}: {words}" for words in slips_of_call(node))


def slips_of_call(call: ast.Call) -> Iterator[str]:
    keywords = {keyword.arg for keyword in call.keywords}
    if any(k.arg == "shell" and isinstance(k.value, ast.Constant) and k.value.value for k in call.keywords):
        yield "a shell"
    name = call.func.id if isinstance(call.func, ast.Name) else getattr(call.func, "attr", "")
    if name in TEXT_CALLS and isinstance(call.func, ast.Attribute) and not {"encoding"} & keywords:
        yield f"{name} without an encoding"
    modes = [a.value for a in call.args if isinstance(a, ast.Constant) and isinstance(a.value, str)]
    plain = (
        isinstance(call.func, ast.Name)
        or (isinstance(call.func, ast.Attribute) and not call.args)
        or any(re.fullmatch(r"[rwax+]+", mode) for mode in modes)
    )
    of_files = not (
        isinstance(call.func, ast.Attribute) and getattr(call.func.value, "id", "") in {"rasterio", "memory"}
    )
    if name == "open" and plain and of_files and "encoding" not in keywords and not any("b" in mode for mode in modes):
        yield "open without an encoding"


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_no_file_assumes_one_system(path: Path) -> None:
    assert list(slips(path)) == []


def test_the_slips_are_found_where_they_are(tmp_path: Path) -> None:
    text = (
        "import fcntl\nimport os, signal\nfrom pathlib import Path\nos.kill(1, signal.SIGKILL)\nos.rename('a', 'b')\n"
        "Path('x').read_text()\nopen('x')\nPath('x').open('w')\nplace = '/tmp/x'\nday = '%-d %B'\n"
        "def safe():\n    if os.name == 'nt':\n        return\n    os.kill(1, 0)\n"
    )
    path = tmp_path / "slip.py"
    path.write_text(text, encoding="utf-8")
    lines = sorted({int(found.split(":")[0]) for found in slips(path)})
    assert lines == [1, 4, 5, 6, 7, 8, 9, 10]


@pytest.mark.parametrize(
    "surroundings",
    [{"LC_ALL": "C"}, {"LC_ALL": "C", "PYTHONUTF8": "0"}, {"LC_ALL": "C.UTF-8", "PYTHONUTF8": "0"}],
    ids=["plain locale", "plain locale without UTF-8 mode", "without UTF-8 mode"],
)
def test_words_beyond_ascii_reach_a_terminal_that_does_not_know_them(surroundings: dict[str, str]) -> None:
    clean = {
        k: v for k, v in os.environ.items() if k not in {"LANG", "LC_ALL", "LC_CTYPE", "PYTHONUTF8", "PYTHONIOENCODING"}
    }
    said = subprocess.run(
        [sys.executable, "-m", "hushwalk", "sources"], capture_output=True, env={**clean, **surroundings}, check=False
    )
    assert said.returncode == 0, said.stderr.decode("utf-8", "replace")
    assert len(said.stdout.splitlines()) > 100


def test_the_time_zones_travel_along_for_systems_without_them() -> None:
    project = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    assert re.search(r'^    "tzdata', project, re.MULTILINE)
