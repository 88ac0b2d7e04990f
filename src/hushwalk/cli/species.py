"""`hushwalk species`: which species cards there are, and what one says.

The cards are in data/species, reading them is site/species.py's business.
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
    from hushwalk.site.species import species_cards
    from hushwalk.wording.card_words import card_words

    if name is None:
        for key, card in species_cards().items():
            click.echo(f"{key:20} {card.name}")
    else:
        click.echo(card_words(name))
