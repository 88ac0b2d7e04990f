"""`hushwalk sources`: where the numbers come from.

The sources themselves are in data/sources.
"""

import click


@click.command(name="sources")
@click.argument("key", required=False)
def command(key: str | None) -> None:
    r"""List every source, or show the one called KEY.

    \b
    Example:
      hushwalk sources
      hushwalk sources iso_9613_2_1996
    """
    from hushwalk.sources import all_sources, cite

    if key is not None:
        cite(key)
    for source in all_sources().values():
        if key in (None, source.key):
            click.echo(f"{source.key}  [{source.found}]\n  {source.text}")
            if source.note:
                click.echo(f"  {source.note}")
            if source.link:
                click.echo(f"  {source.link}")
