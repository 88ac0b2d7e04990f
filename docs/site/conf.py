"""How the documents become a site: Sphinx reads docs/, and the pages that pages.py makes beside them.

`make docs` builds it without the network; what each page says is its own business.
"""

import re
import sys
from pathlib import Path

HERE = Path(__file__).parent
PARAMETER = re.compile(r"(\w[\w, ]*) : (.*)")
sys.path.insert(0, str(HERE))

import pages  # noqa: E402 - a neighbour of this file, not a package
from sphinx.application import Sphinx  # noqa: E402

project = "hushwalk"
author = "The hushwalk founders"
copyright = "The hushwalk founders, MIT licence"  # noqa: A001 - the name that Sphinx reads
release = pages.version()
root_doc = "index"
extensions = ["myst_parser", "sphinx.ext.autodoc", "sphinx.ext.napoleon"]
exclude_patterns = ["site", "benchmarks/*.py", "guide/real_layers/README.md"]
source_suffix = {".md": "markdown"}
language = "en"
templates_path: list[str] = []
nitpicky = False

myst_enable_extensions = ["deflist"]
myst_heading_anchors = 4
napoleon_google_docstring = False
napoleon_use_rtype = False
autodoc_typehints = "signature"
autodoc_member_order = "bysource"
suppress_warnings = ["myst.strikethrough"]

html_theme = "furo"
html_title = f"hushwalk {release}"
html_show_sourcelink = False
pygments_style = "a11y-high-contrast-light"
pygments_dark_style = "a11y-high-contrast-dark"


def setup(app: Sphinx) -> None:
    """Make the pages that are made, before Sphinx looks what there is."""
    pages.make(Path(app.srcdir) / "made")
    app.connect("autodoc-process-docstring", _words_below_names, priority=400)  # before napoleon, at 500


def _words_below_names(*said: object) -> None:
    """Parameters stand in our docstrings with their words on the same line, where napoleon looks for a type."""
    lines: list[str] = said[-1]  # type: ignore[assignment]
    inside, made = False, []
    for line, below in zip(lines, [*lines[1:], ""], strict=True):
        if set(below) == {"-"} and line:
            inside = line == "Parameters"
        found = PARAMETER.fullmatch(line) if inside else None
        made += [found[1], f"    {found[2]}"] if found else [line]
    lines[:] = made
