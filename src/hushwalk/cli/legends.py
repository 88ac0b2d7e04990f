"""`hushwalk legends`: which land-cover legends are known, and how their classes are read.

The crosswalks are in data/cover.
"""

import click


@click.command(name="legends")
@click.argument("legend", required=False)
def command(legend: str | None) -> None:
    r"""List the known land-cover legends, or every class of LEGEND with the cover kind it is read as.

    \b
    Example:
      hushwalk legends
      hushwalk legends nlcd
      hushwalk legends kinds
    """
    from hushwalk.site.reading.cover import cover_kinds, crosswalk, legends

    if legend is None:
        for key, label in legends().items():
            click.echo(f"{key:18} {label}")
        return
    labels = {kind.code: f"{kind.key} ({kind.label})" for kind in cover_kinds().values()}
    walk = crosswalk(legend)
    click.echo(f"{walk.label}; source: {walk.source}")
    for code, kind in sorted(walk.kinds.items()):
        click.echo(f"{code:>8}  {walk.names.get(code, ''):60.60}  {labels[kind]}")
