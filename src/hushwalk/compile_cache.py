"""Where compiled code is kept: with the version that it was compiled of, so that none of another one is ever loaded.

What is compiled is decided in the rooms, function by function.
"""

import atexit
import hashlib
import os
import shutil
import sys
import tempfile
from pathlib import Path

PACKAGE = Path(__file__).parent
VARIABLE = "NUMBA_CACHE_DIR"
"""The compiler's own variable; a value that a person has set is kept."""
FOR_NOW = "hushwalk-compiled-"
"""Definition: how a folder begins that goes when the process ends."""


def compiles_for_now() -> bool:
    """Whether compiled code is kept only until the process ends."""
    return Path(os.environ.get(VARIABLE, "")).name.startswith(FOR_NOW)


def _keep_for_now() -> None:
    """Where neither the program nor the user has a folder to write to, keep compiled code until the process ends."""
    home = Path(os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA") or "~").expanduser()
    if not os.access(home, os.W_OK):
        os.environ[VARIABLE] = tempfile.mkdtemp(prefix=FOR_NOW)
        atexit.register(shutil.rmtree, os.environ[VARIABLE], ignore_errors=True)


def keep_apart(version: str, package: Path = PACKAGE) -> None:
    """Keep compiled code apart by version and by the names of all modules, and drop that of others.

    Compiled code names the types of its arguments by module. The compiler looks only at whether the file of the
    function itself has changed; after a module was renamed it would load code that asks for a module that is gone.

    Parameters
    ----------
    version : of the program.
    package : its folder; where nothing can be written the compiler keeps its code where it likes.
    """
    if VARIABLE in os.environ or "numba" in sys.modules:
        return
    if not os.access(package, os.W_OK):
        _keep_for_now()
        return
    names = sorted(str(path.relative_to(package)) for path in package.rglob("*.py"))
    digest = hashlib.sha256("\n".join([version, *names]).encode()).hexdigest()[:12]
    home = package / "__pycache__"
    kept = home / f"compiled-{digest}"
    os.environ[VARIABLE] = str(kept)
    if not kept.exists():
        for old in home.glob("compiled-*"):
            shutil.rmtree(old, ignore_errors=True)
