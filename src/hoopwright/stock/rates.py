"""What a shop asks for its work, as a person typed it. What was not typed is None, and never 0."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from hoopwright.tubes import TubeSize

_SAME_MM = 0.05


@dataclass(frozen=True, kw_only=True)
class TubeRate:
    """The price of tube.

    Args:
        tube: Its size; None for every size that has no rate of its own.
        steel: Its steel in the words of the certificate; empty for any.
        per_metre: Price of a metre, or None.
        per_foot: Price of a foot, or None.
        per_kg: Price of a kilogram, or None.
        per_stick: Price of a whole stick, or None.
        stick_mm: Length of a stick; `per_stick` needs it, and without a price it still says what is bought.
    """

    tube: TubeSize | None = None
    steel: str = ""
    per_metre: Decimal | None = None
    per_foot: Decimal | None = None
    per_kg: Decimal | None = None
    per_stick: Decimal | None = None
    stick_mm: float | None = None

    @property
    def is_typed(self) -> bool:
        """Whether any price was typed."""
        return bool(self.prices)

    @property
    def prices(self) -> tuple[str, ...]:
        """Names of the prices that were typed."""
        names = ("per_metre", "per_foot", "per_kg", "per_stick")
        return tuple(name for name in names if getattr(self, name) is not None)


@dataclass(frozen=True, kw_only=True)
class Minutes:
    """How long work takes, in minutes.

    Args:
        set_up: Once for the whole job.
        per_bar: Marking, sawing and handling of a bar.
        per_bend: A bend.
        per_cope: A coped end.
        per_foot: A leg cut to its landing.
        per_weld_metre: A metre of weld.
        per_plate: Cutting and folding a landing.
        per_gusset: Cutting and folding a gusset or a tie.
    """

    set_up: Decimal | None = None
    per_bar: Decimal | None = None
    per_bend: Decimal | None = None
    per_cope: Decimal | None = None
    per_foot: Decimal | None = None
    per_weld_metre: Decimal | None = None
    per_plate: Decimal | None = None
    per_gusset: Decimal | None = None


@dataclass(frozen=True, kw_only=True)
class Extra:
    """Anything else, at a price or in hours.

    Args:
        what: In words.
        amount: Its price, or None.
        hours: Its hours at the hour rate, or None.
    """

    what: str
    amount: Decimal | None = None
    hours: Decimal | None = None


@dataclass(frozen=True, kw_only=True)
class OnPaper:
    """What is said around the figures.

    Args:
        sender: Who makes the quote, in lines.
        to: Whom it is for, in lines.
        number: Of the quote.
        terms: Sentences below the total.
        valid_days: How many days from its date it holds; None says nothing.
    """

    sender: tuple[str, ...] = ()
    to: tuple[str, ...] = ()
    number: str = ""
    terms: tuple[str, ...] = ()
    valid_days: int | None = None


@dataclass(frozen=True, kw_only=True)
class Rates:
    """All rates of a shop.

    Args:
        currency: A word or sign, as the person typed it; empty for none.
        decimals: Of amounts of money.
        kerf_mm: What the saw takes between two pieces; None for the usual.
        tubes: Prices of tube.
        sheet_per_kg: Price of a kilogram of sheet, as cut.
        bolt_each: Price of a bolt with nut and washer.
        per_hour: Price of an hour of work.
        minutes: How long work takes.
        extras: Anything else.
        discount_percent: Taken off what is priced; None for none.
        discount_amount: Taken off as an amount; None for none.
        tax_name: What the tax is called.
        tax_percent: On top of what is left; None for none.
        paper: What is said around the figures.
    """

    currency: str = ""
    decimals: int = 2
    kerf_mm: float | None = None
    tubes: tuple[TubeRate, ...] = ()
    sheet_per_kg: Decimal | None = None
    bolt_each: Decimal | None = None
    per_hour: Decimal | None = None
    minutes: Minutes = field(default_factory=Minutes)
    extras: tuple[Extra, ...] = ()
    discount_percent: Decimal | None = None
    discount_amount: Decimal | None = None
    tax_name: str = "tax"
    tax_percent: Decimal | None = None
    paper: OnPaper = field(default_factory=OnPaper)

    def tube_rate(self, tube: TubeSize, steel: str) -> TubeRate | None:
        """The rate that fits a tube best: its size and steel, its size, its steel, or any; None without one.

        A steel is the same in capitals and small letters. A rate without a price does not count.
        """
        return self._best(tube, steel, [rate for rate in self.tubes if rate.is_typed])

    def stick_mm(self, tube: TubeSize, steel: str) -> float | None:
        """Length of the sticks that a tube is bought in, of the best fitting rate that has one; None without one."""
        best = self._best(tube, steel, [rate for rate in self.tubes if rate.stick_mm is not None])
        return None if best is None else best.stick_mm

    def _best(self, tube: TubeSize, steel: str, rates: Sequence[TubeRate]) -> TubeRate | None:
        fitting = [rate for rate in rates if _fits(rate, tube, steel)]
        return max(fitting, key=lambda rate: (rate.tube is not None, bool(rate.steel)), default=None)


def same_size(one: TubeSize, other: TubeSize) -> bool:
    """Whether two sizes are the same within what rounding between mm and inches leaves."""
    return abs(one.od_mm - other.od_mm) < _SAME_MM and abs(one.wall_mm - other.wall_mm) < _SAME_MM


def same_steel(one: str, other: str) -> bool:
    """Whether two steels are the same in words."""
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()


def _fits(rate: TubeRate, tube: TubeSize, steel: str) -> bool:
    size = rate.tube is None or same_size(rate.tube, tube)
    return size and (not rate.steel or same_steel(rate.steel, steel))
