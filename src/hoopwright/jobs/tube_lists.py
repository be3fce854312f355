"""Tubes that a rule book allows for a bar, with mass, stiffness and price of a metre, the lightest first."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path
from types import MappingProxyType

from hoopwright.cage import Car, Role, WeightBasis
from hoopwright.findings import Finding, Severity, Verdict
from hoopwright.jobs.quotes import rates_known
from hoopwright.jobs.rule_answers import no_book
from hoopwright.jobs.rule_books import confirmed_of, find_book, pinned_book
from hoopwright.rules.book import Book
from hoopwright.rules.tube_choice import TubeChoice, tube_choices
from hoopwright.stock.rates import Rates
from hoopwright.store import ProjectFolder
from hoopwright.tubes import common_steels, sold_sizes
from hoopwright.units import MM_PER_FOOT, MM_PER_UNIT

_N_PER_KN = 1000.0


@dataclass(frozen=True, kw_only=True)
class PricedTube:
    """One size in one steel, held against the book, with its price.

    Args:
        choice: How it ended.
        price_per_m: Price of a metre by the person's own rates; None where they do not say.
    """

    choice: TubeChoice
    price_per_m: Decimal | None

    @property
    def stiffness_words(self) -> str:
        """Bending stiffness in kN m2."""
        return f"{self.choice.ei_n_mm2 / MM_PER_UNIT['m'] ** 2 / _N_PER_KN:.2f}"

    @property
    def moment_words(self) -> str:
        """Bending moment at which it yields, in N m."""
        return f"{self.choice.moment_n_mm / MM_PER_UNIT['m']:.0f}"


@dataclass(frozen=True, kw_only=True)
class TubeList:
    """The tubes for one bar.

    Args:
        book: The book.
        role: What the bar is.
        tubes: Those that the book allows first, the lightest first among them; the others after.
        currency: Of the prices.
        findings: What a person should know.
    """

    book: Book
    role: Role
    tubes: tuple[PricedTube, ...]
    currency: str
    findings: tuple[Finding, ...]

    @property
    def not_known(self) -> tuple[PricedTube, ...]:
        """Those that meet every limit that could be held against them, and for which something is not known."""
        return tuple(one for one in self.tubes if one.choice.verdict is Verdict.NOT_CHECKED)

    @property
    def allowed(self) -> tuple[PricedTube, ...]:
        """Those that meet the limits."""
        return tuple(one for one in self.tubes if one.choice.verdict is Verdict.PASS)


@dataclass(frozen=True, kw_only=True)
class TubeWish:
    """What a tube is looked for.

    Args:
        role: What the bar is.
        book: A book by name or file; the project's pinned one without.
        weights: Weights of the car in kg by what they count, over those that the project knows.
        is_required: Whether the book demands the bar.
        rates: A rates file; the project's or the person's own without.
    """

    role: Role
    book: str | None = None
    weights: tuple[tuple[WeightBasis, float], ...] = ()
    is_required: bool = True
    rates: Path | None = None


def tubes_for(wish: TubeWish, folder: ProjectFolder | None = None) -> TubeList:
    """Every common size in every common steel, held against a book for a bar of a role.

    Args:
        wish: What is looked for.
        folder: A project, whose book, car and confirmed rules count; without one a book must be named.

    Raises:
        UserError: `HELD-010`, `HELD-013`, `HELD-018`, `RULE-...`; `COST-...` for rates that cannot be read.
    """
    car, pin = Car(), None
    told: tuple[Finding, ...] = ()
    if folder is not None:
        project = folder.open().project
        car, pin = project.car, project.book
    if wish.book is not None:
        book, _ = find_book(wish.book, folder)
    elif folder is not None and pin is not None:
        book, told = pinned_book(folder, pin)
    else:
        raise no_book()
    car = replace(car, weights_kg=MappingProxyType({**car.weights_kg, **dict(wish.weights)}))
    choices = tube_choices(
        book,
        car,
        wish.role,
        sold_sizes(),
        common_steels(),
        is_required=wish.is_required,
        confirmed=confirmed_of(pin, book),
    )
    known = rates_known(wish.rates, folder)
    rates = known.rates
    tubes = tuple(PricedTube(choice=one, price_per_m=_price(rates, one)) for one in choices)
    return TubeList(
        book=book,
        role=wish.role,
        tubes=tubes,
        currency=rates.currency,
        findings=(*told, *_none_allowed(book, wish.role, choices)),
    )


def _price(rates: Rates, choice: TubeChoice) -> Decimal | None:
    """Price of a metre, from whichever price was typed for that tube."""
    rate = rates.tube_rate(choice.size.tube, choice.steel.name)
    if rate is None:
        return None
    if rate.per_metre is not None:
        return rate.per_metre
    if rate.per_foot is not None:
        return rate.per_foot * Decimal(str(MM_PER_UNIT["m"])) / Decimal(str(MM_PER_FOOT))
    if rate.per_kg is not None:
        return rate.per_kg * Decimal(str(round(choice.kg_per_m, 6)))
    if rate.per_stick is not None and rate.stick_mm:
        return rate.per_stick * Decimal(str(MM_PER_UNIT["m"])) / Decimal(str(rate.stick_mm))
    return None


def _none_allowed(book: Book, role: Role, choices: Sequence[TubeChoice]) -> tuple[Finding, ...]:
    if any(one.verdict is Verdict.PASS for one in choices):
        return ()
    of_book = f"{book.book_id}, edition {book.edition}"
    open_ones = [one for one in choices if one.verdict is Verdict.NOT_CHECKED]
    if open_ones:
        sentence = f"Which tubes {of_book} allows for a {role.value} is not known: {open_ones[0].why[0]}."
    elif all(one.verdict is Verdict.NOT_APPLICABLE for one in choices):
        sentence = f"{of_book} has no limit on the tube of a {role.value}."
    else:
        sentence = f"None of the common tubes meets {of_book} for a {role.value}."
    return (
        Finding(
            code="HELD-030",
            severity=Severity.WARNING,
            sentence=sentence,
            todo="Give what is missing, or look into the book.",
            objects=(book.book_id, role.value),
        ),
    )
