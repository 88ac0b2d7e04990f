"""The command line: one command a file, each loaded only when it is called.

No command computes anything: it reads its words, calls a story and prints.
"""

import atexit
import errno
import gc
import io
import os
import sys
from importlib import import_module

import click

from hushwalk import __version__
from hushwalk.cli.stopping import EXIT_INTERRUPTED, stops_soon
from hushwalk.errors import HushwalkError, InputError
from hushwalk.text import message, one_line

COMMANDS = (
    *(
        "demo",
        "gather",
        "forecast",
        "areas",
        "start",
        "desk",
        "check",
        "plan",
        "two",
        "open",
        "plans",
        "rehearse",
        "replan",
        "note",
    ),
    *("fix", "search", "season", "tomorrow", "logs", "session", "habitat", "why", "earshot", "listener", "pace"),
    *("species", "legends", "sources"),
)

SELDOM = (50_000, 20, 100)
"""Judgement: how seldom to look for cycles of objects. Compiling makes millions but few cycles: a third less of it."""
NAMED = 80  # judgement: signs of a name that a message shows
UNREADABLE = (
    "holds letters that the encoding of this terminal does not know; set the variable PYTHONUTF8 to 1, or LC_ALL to "
    "C.UTF-8, and run it again"
)
FULL = (errno.ENOSPC, errno.EPIPE, errno.EIO, errno.EFBIG)
"""What the system says when what we print to takes no more."""


class LazyCommands(click.Group):
    """A group that imports a command's file when the command is first asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """Give the names of all commands in the order of a trip."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Load one command, or None if there is none of that name."""
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = import_module(f"hushwalk.cli.{cmd_name}").command
        command.help = _as_written(command.help)
        return command


def _as_written(text: str | None) -> str | None:
    r"""Turn the two signs \b of a raw docstring into the one that has click keep the lines below it."""
    return text and text.replace("\\b\n", "\b\n")


@click.group(cls=LazyCommands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="hushwalk")
def hushwalk() -> None:
    r"""Plan a quiet dawn walk that hears as many displaying forest grouse as possible.

    \b
    Start a trip:     hushwalk start my_trip
    Plan its morning: hushwalk plan my_trip/trip.toml
    """


hushwalk.help = _as_written(hushwalk.help)


def _any_terminal() -> None:
    """Write what a terminal has no sign for as a question mark, rather than not at all."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _say_nothing_more(fault: OSError) -> None:
    """End because nobody can be told anything: what we print to is full or gone."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # what still waits to be printed goes nowhere
    click.echo(f"hushwalk: what is printed cannot be written ({fault.strerror}); print it elsewhere", err=True)
    sys.exit(HushwalkError.exit_code)


def main(arguments: list[str] | None = None) -> None:
    """Run hushwalk; a fault that a person can mend is one message and exit code 2."""
    atexit.register(gc.freeze)  # at the end all goes at once: looking through it for cycles takes a second for nothing
    gc.set_threshold(*SELDOM)
    _any_terminal()
    with stops_soon() as watch:
        try:
            hushwalk.main(args=arguments, prog_name="hushwalk", standalone_mode=False)
        except click.exceptions.Exit as done:
            sys.exit(done.exit_code)
        except click.ClickException as fault:
            fault.show()
            sys.exit(fault.exit_code)
        except (click.exceptions.Abort, KeyboardInterrupt):
            watch.say()
            sys.exit(EXIT_INTERRUPTED)
        except UnicodeEncodeError as fault:
            click.echo(f"hushwalk: {ascii(fault.object)[:NAMED]} {UNREADABLE}", err=True)
            sys.exit(HushwalkError.exit_code)
        except Exception as fault:
            if watch.heard.is_set():
                watch.say()
                sys.exit(EXIT_INTERRUPTED)
            if isinstance(fault, OSError) and fault.errno in FULL and fault.filename is None:
                _say_nothing_more(fault)
            if isinstance(fault, OSError) and fault.errno == errno.ENAMETOOLONG:
                fault = InputError(f"{one_line(str(fault.filename), 60)!r} cannot be the name of a file; write another")
            if not isinstance(fault, HushwalkError):
                raise
            click.echo(f"hushwalk: {message(str(fault))}", err=True)
            sys.exit(fault.exit_code)
