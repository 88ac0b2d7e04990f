"""`hushwalk desk`: open the local planning page of a folder in the browser of this machine.

The page is the desk's; every plan, note and file of it is made by the same stories as by the other commands.
"""

import webbrowser
from importlib.util import find_spec
from pathlib import Path

import click

NEEDED = ("starlette", "uvicorn", "tomlkit", "python_multipart")
INSTALL = "the desk needs a few libraries more; install them with: python -m pip install 'hushwalk[desk]'"


@click.command(name="desk")
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path), default=Path())
@click.option(
    "--port", type=click.IntRange(0, 65535), default=0, help="Port to listen on; 0 takes any that is free [0]."
)
@click.option("--no-browser", is_flag=True, help="Only print the address.")
@click.option("--lan", is_flag=True, help="Let a phone on the same network open what was written; not encrypted.")
def command(folder: Path, port: int, *, no_browser: bool, lan: bool) -> None:
    r"""Plan on a map: open the page of FOLDER [.], whose trip.toml is what the page reads and writes.

    \b
    Example:
      hushwalk desk north_ridge
      hushwalk desk north_ridge --port 8123 --no-browser
      hushwalk desk north_ridge --lan
    """
    from hushwalk.errors import SettingsError

    if any(find_spec(name) is None for name in NEEDED):
        raise SettingsError(INSTALL)

    from hushwalk.desk.serve import serve_desk
    from hushwalk.wording.desk_words import PHONE_WARNING

    def ready(address: str, phone: str) -> None:
        click.echo(f"the desk of {folder.resolve()} is open on this machine only; end it with Ctrl-C")
        click.echo(address)
        if phone:
            click.echo(f"warning: {PHONE_WARNING}", err=True)
            click.echo(f"on a phone: {phone}")
        if not no_browser:
            webbrowser.open(address)

    serve_desk(folder, port, ready, lan=lan)
