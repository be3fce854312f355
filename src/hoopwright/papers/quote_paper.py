"""What stands on a quote."""

from dataclasses import dataclass

from hoopwright.papers.car_lines import CarLines
from hoopwright.stock.money import Priced


@dataclass(frozen=True, kw_only=True)
class MadeRow:
    """Bars of one role and tube."""

    what: str
    tube: str
    bars: int
    bends: int
    mass_kg: float


@dataclass(frozen=True, kw_only=True, eq=False)
class QuotePaper:
    """What stands on a quote.

    Args:
        title: In large, such as `Quote 12`.
        project: Name of the project.
        date: Its day, ISO 8601.
        valid_until: Last day on which it holds; empty for none said.
        sender: Who makes it, in lines.
        to: Whom it is for, in lines.
        car: What is drawn; None draws nothing.
        made: What is made.
        facts: Quantities in words, each with what it is of.
        priced: Lines and totals.
        discount_words: What the discount is, such as `discount 5 %`.
        tax_words: What the tax is.
        assumptions: Sentences.
        open_points: Sentences on what is not counted or not known.
        terms: Sentences of the sender.
        identity: Of what it was reckoned from.
    """

    title: str
    project: str
    date: str
    valid_until: str
    sender: tuple[str, ...]
    to: tuple[str, ...]
    car: CarLines | None
    made: tuple[MadeRow, ...]
    facts: tuple[tuple[str, str], ...]
    priced: Priced
    discount_words: str
    tax_words: str
    assumptions: tuple[str, ...]
    open_points: tuple[str, ...]
    terms: tuple[str, ...]
    identity: str
