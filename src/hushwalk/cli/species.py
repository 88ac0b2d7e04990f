"""`hushwalk species`: which species cards there are, and what one says.

The cards are in data/species, reading them is trip/species.py's business.
"""

import click


@click.command(name="species")
@click.argument("name", required=False)
def command(name: str | None) -> None:
    r"""List the species cards, or explain the one called NAME with its sources.

    \b
    Example:
      hushwalk species
      hushwalk species ruffed_grouse
    """
    from hushwalk.trip.species import card_names, card_words, read_card

    if name is None:
        for known in card_names():
            click.echo(f"{known}  {read_card(known).name}")
    else:
        click.echo(card_words(read_card(name)))
