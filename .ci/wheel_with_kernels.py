"""Builds the wheel with code compiled beforehand, so that the first plan after installing need not wait for it.

The build backend that pyproject.toml names, and its hook: hatchling does the work. HUSHWALK_PURE=1 builds a wheel for
every system, without compiled code; so does any fault on the way.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path
from typing import Any

import hatchling.build
from hatchling.build import *  # noqa: F403 - the other hooks of a build backend, as they are
from hatchling.builders.hooks.plugin.interface import BuildHookInterface

ROOT = Path(__file__).resolve().parents[1]
PURE = "HUSHWALK_PURE"
PLAN = ("-m", "hushwalk", "plan", "trip.toml", "--steps", "200", "--proof-steps", "2", "--fresh", "--out", "plan")
"""What is done once with the demo: it compiles whatever a plan, a note, a fix and a search need."""
PACK = "import sys, pathlib, hushwalk.compile_cache as cache; cache.pack(pathlib.Path(sys.argv[1]))"


def get_requires_for_build_wheel(config_settings: dict[str, Any] | None = None) -> list[str]:
    """What must be installed to build a wheel: to compile, all that the program needs to run."""
    requires = hatchling.build.get_requires_for_build_wheel(config_settings)
    if os.environ.get(PURE):
        return requires
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return [*requires, *project["dependencies"]]


class CompiledKernels(BuildHookInterface):  # type: ignore[type-arg]
    """Adds the folder of compiled code to a wheel; an editable installation compiles when it runs."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Compile, and mark the wheel as one for this system and Python."""
        self.work = Path(tempfile.mkdtemp())
        if version == "editable" or os.environ.get(PURE):
            return
        try:
            kernels = compiled_in(self.work)
        except (OSError, subprocess.CalledProcessError) as fault:
            self.app.display_warning(f"built without compiled code, the first run will compile: {fault}")
            return
        build_data["force_include"][str(kernels)] = f"hushwalk/{kernels.relative_to(self.work / 'hushwalk')}"
        build_data.update(pure_python=False, infer_tag=True)

    def finalize(self, *_: object) -> None:
        """Leave nothing behind."""
        shutil.rmtree(self.work, ignore_errors=True)


def compiled_in(work: Path) -> Path:
    """Run a copy of the package on a copy of the demo, and give the folder of the code that it compiled.

    Raises
    ------
    CalledProcessError
        If anything fails: a library is missing, or the compiler does not run here.
    """
    shutil.copytree(ROOT / "src" / "hushwalk", work / "hushwalk", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copytree(ROOT / "data_demo", work / "demo")
    compiled = work / "compiled"
    kept = {"NUMBA_CACHE_DIR": str(compiled), "NUMBA_CPU_NAME": "generic", "HUSHWALK_CACHE": "off"}
    environment = {**os.environ, **kept, "PYTHONPATH": str(work)}

    for command in (PLAN, ("-c", PACK, str(compiled))):
        subprocess.run(
            [sys.executable, *command], cwd=work / "demo", env=environment, check=True, stdout=subprocess.DEVNULL
        )
    return work / "hushwalk" / "data" / "kernels"
