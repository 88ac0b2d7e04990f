"""Where compiled code is kept, for which processor it is made, and how code that was compiled before comes along.

What is compiled is decided in the rooms, function by function.
"""

import atexit
import hashlib
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

PACKAGE = Path(__file__).parent
VARIABLE = "NUMBA_CACHE_DIR"
"""The compiler's own variable; a value that a person has set is kept."""
PROCESSOR = "NUMBA_CPU_NAME"
"""Likewise. What is compiled for "generic" runs on every processor of the kind, with the same instructions on each."""
FOR_NOW = "hushwalk-compiled-"
"""Definition: how a folder begins that goes when the process ends."""
BROUGHT_ALONG = Path("data", "kernels")
"""Definition: where in the package code lies that was compiled when the package was built."""


def compiles_for_now() -> bool:
    """Whether compiled code is kept only until the process ends."""
    return Path(os.environ.get(VARIABLE, "")).name.startswith(FOR_NOW)


def keep_apart(version: str, package: Path = PACKAGE) -> None:
    """Keep compiled code apart by version and by the names of all modules, and drop that of others.

    Compiled code names the types of its arguments by module. The compiler looks only at whether the file of the
    function itself has changed; after a module was renamed it would load code that asks for a module that is gone.
    A folder that is new begins with the code that the package brings along.

    Parameters
    ----------
    version : of the program.
    package : its folder. Where it cannot be written, code is kept with the user's caches; where they cannot either,
        until the process ends.
    """
    if "numba" in sys.modules:
        return
    os.environ.setdefault(PROCESSOR, "generic")
    if VARIABLE in os.environ:
        return
    names = sorted(str(path.relative_to(package)) for path in package.rglob("*.py"))
    digest = hashlib.sha256("\n".join([version, str(package), *names]).encode()).hexdigest()[:12]
    users = Path(os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA") or "~/.cache").expanduser()
    home = next((home for home in (package / "__pycache__", users / "hushwalk") if _can_be_written(home)), None)
    if home is None:
        kept = Path(tempfile.mkdtemp(prefix=FOR_NOW))
        atexit.register(shutil.rmtree, str(kept), ignore_errors=True)
        _bring_along(package, kept)
    else:
        kept = home / f"compiled-{digest}"
        if not kept.exists():
            for old in home.glob("compiled-*"):
                shutil.rmtree(old, ignore_errors=True)
            _begin(package, kept)
    os.environ[VARIABLE] = str(kept)


def pack(compiled: Path, package: Path = PACKAGE) -> None:
    """Put code into the package that was compiled of it, as it lies under a folder of the compiler.

    Parameters
    ----------
    compiled : the folder that the compiler was given to keep its code.
    package : whose code it is.
    """
    for name, kept in _folders(package, compiled):
        if kept.is_dir():
            shutil.copytree(kept, package / BROUGHT_ALONG / name)


def _begin(package: Path, kept: Path) -> None:
    """Make a folder of compiled code that is whole when it appears; if that fails, the compiler makes its own."""
    try:
        kept.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix="begin-", dir=kept.parent, ignore_cleanup_errors=True) as begin:
            _bring_along(package, Path(begin, kept.name))
            Path(begin, kept.name).rename(kept)
    except OSError:  # another process was sooner, or the disk is full
        return


def _bring_along(package: Path, kept: Path) -> None:
    """Copy the code that the package brings along to where the compiler looks for it.

    The compiler takes what was made by its own version, of the same source, for the same processor; it makes the
    rest anew.
    """
    kept.mkdir(exist_ok=True)
    for name, there in _folders(package, kept):
        for file in (package / BROUGHT_ALONG / name).glob("*.nb?"):
            there.mkdir(exist_ok=True)
            shutil.copyfile(file, there / file.name)  # whoever installed may have forbidden to write, we must not


def _folders(package: Path, kept: Path) -> Iterator[tuple[str, Path]]:
    """Give the dotted name of each folder of a package, and where the compiler keeps the code of its modules."""
    for folder in sorted({path.parent for path in package.rglob("*.py")}):
        full = os.path.abspath(folder)  # noqa: PTH100 - as the compiler does, links and all
        digest = hashlib.sha1(full.encode(), usedforsecurity=False).hexdigest()
        yield ".".join(folder.relative_to(package.parent).parts), kept / f"{folder.name}_{digest}"


def _can_be_written(folder: Path) -> bool:
    """Whether a folder can be written to, or made."""
    return os.access(next(there for there in (folder, *folder.parents) if there.exists()), os.W_OK)
