"""`hushwalk demo`: the invented trip that travels with the program, written out and planned.

The files are site/demo_trip.py's, the planning is that of `hushwalk plan`.
"""

from pathlib import Path

import click

STEPS, PROOF_STEPS = "3000", "12"  # as `make demo` plans it, so that the same files give the same bytes


@click.command(name="demo")
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path), default=Path("hushwalk_demo"))
@click.option("--only-write", is_flag=True, help="Write the files of the trip without planning it.")
@click.pass_context
def command(ctx: click.Context, folder: Path, only_write: bool) -> None:
    r"""Write an invented trip into FOLDER [hushwalk_demo] and plan it, to see what a plan looks like.

    \b
    Example:
      hushwalk demo
      hushwalk demo somewhere --only-write
    """
    from hushwalk.site.demo_trip import copy_demo

    trip = copy_demo(folder)
    click.echo(f"wrote {trip}, an invented place: nothing in it is real ground")
    if only_write:
        click.echo(f"  hushwalk plan {trip}")
        return

    from hushwalk.cli.plan import command as plan

    arguments = [str(trip), "--steps", STEPS, "--proof-steps", PROOF_STEPS]
    with plan.make_context("plan", arguments, parent=ctx) as planning:
        plan.invoke(planning)
    click.echo(f"look at it: hushwalk open {trip}")
