"""Code blocks of the documents: which there are, and how those that are Python or commands are run."""

import doctest
import re
import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from click.testing import CliRunner

from hushwalk.cli import hushwalk

BLOCK = re.compile(r"^```([^\n`]*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
FLAGS = doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE


@dataclass(frozen=True)
class Block:
    """One code block."""

    language: str
    text: str
    line: int


def blocks_of(page: Path) -> Iterator[Block]:
    """Every fenced block of a page, in order."""
    words = page.read_text(encoding="utf-8")
    for found in BLOCK.finditer(words):
        yield Block(found[1].strip(), found[2], words.count("\n", 0, found.start()) + 2)


def run_python(block: Block, names: dict[str, object], page: str) -> str:
    """Run the examples of a block; what went otherwise than written, or nothing."""
    test = doctest.DocTestParser().get_doctest(block.text, names, page, page, block.line - 1)
    said: list[str] = []
    runner = doctest.DocTestRunner(verbose=False, optionflags=FLAGS)
    runner.run(test, out=said.append, clear_globs=False)
    names.update(test.globs)
    return "".join(said)


def commands_of(block: Block) -> list[list[str]]:
    """The commands of a block, each as its words without the dollar sign and the name of the program."""
    lines = [line.removeprefix("$ ").split(" #")[0] for line in block.text.splitlines() if line.startswith("$ ")]
    return [shlex.split(line) for line in lines]


def run_command(words: list[str]) -> str:
    """Run one command; its output where it failed, or nothing."""
    answer = CliRunner().invoke(hushwalk, words[1:])
    return "" if answer.exit_code == 0 else f"{words}: {answer.output} {answer.exception}"
