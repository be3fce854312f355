"""Landings and gussets as the drawing names them."""

from hoopwright.cage import EndLetter, feet_of
from hoopwright.jobs.dossier.source import DossierSource


def landing_numbers(source: DossierSource) -> dict[tuple[str, EndLetter], str]:
    """`L1`, `L2` and so on for each landing that could be fitted, in the order of the feet."""
    fitted = {(one.bar_id, one.end) for one in source.landings}
    feet = [(foot.bar_id, foot.end) for foot in feet_of(source.papers.cage)]
    return {foot: f"L{number}" for number, foot in enumerate((one for one in feet if one in fitted), start=1)}


def gusset_numbers(source: DossierSource) -> dict[str, str]:
    """`G1`, `G2` and so on for each gusset and tie that could be made, by its name."""
    names = [one.gusset.name for one in source.gussets if one.made is not None]
    return {name: f"G{number}" for number, name in enumerate(names, start=1)}
