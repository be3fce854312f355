"""The keys of a rates file, and its values as people type them. What is left empty is None."""

from decimal import Decimal, InvalidOperation
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from hoopwright.findings import UserError
from hoopwright.stock.pieces import LARGEST_KERF_MM
from hoopwright.stock.rates import Extra, Minutes, OnPaper, Rates, TubeRate
from hoopwright.tubes import TubeSize
from hoopwright.units import parse_length_mm

_MOST = Decimal(100_000_000)
_MOST_TIME = Decimal(100_000)
_LONGEST_TEXT = 400


def typed_number(value: Any) -> Decimal | None:
    """A number of 0 or more: `12.5`, `"12.50"` or `"12,50"`; None for an empty text.

    Raises:
        ValueError: For anything else, in words.
    """
    if isinstance(value, str):
        text = value.strip()
        if not text:
            return None
        number = _from_text(text)
    elif isinstance(value, bool) or not isinstance(value, int | Decimal):
        msg = f"'{value}' is not a number"
        raise ValueError(msg)
    else:
        number = Decimal(value)
    if not number.is_finite() or not 0 <= number <= _MOST:
        msg = f"{number} is not a number from 0 to {_MOST}"
        raise ValueError(msg)
    return number


def _from_text(text: str) -> Decimal:
    commas, points = text.count(","), text.count(".")
    of_three = commas == 1 and len(text.partition(",")[2]) == 3
    if commas + points > 1 or of_three or not text.isascii():
        msg = f"'{text}' can be read in two ways: type it without thousands separators, such as 1234.50"
        raise ValueError(msg)
    try:
        return Decimal(text.replace(",", "."))
    except InvalidOperation:
        msg = f"'{text}' is not a number"
        raise ValueError(msg) from None


def _time(value: Any) -> Decimal | None:
    number = typed_number(value)
    if number is not None and number > _MOST_TIME:
        msg = f"{number} is more than {_MOST_TIME}"
        raise ValueError(msg)
    return number


def _percent(value: Any) -> Decimal | None:
    number = typed_number(value)
    if number is not None and number > 100:
        msg = f"{number} percent is more than 100"
        raise ValueError(msg)
    return number


def _days(value: Any) -> int | None:
    number = typed_number(value)
    if number is None:
        return None
    if number != number.to_integral_value() or not 1 <= number <= 3650:
        msg = f"{number} is not a number of days from 1 to 3650"
        raise ValueError(msg)
    return int(number)


def _length(value: Any) -> float | None:
    if isinstance(value, str):
        if not value.strip():
            return None
        try:
            found = parse_length_mm(value)
        except UserError as error:
            raise ValueError(error.findings[0].sentence.rstrip(".")) from None
    else:
        number = typed_number(value)
        found = 0.0 if number is None else float(number)
    if not 0.0 < found <= 100_000.0:
        msg = f"'{value}' is no length of tube"
        raise ValueError(msg)
    return found


def _kerf(value: Any) -> float | None:
    found = _length(value)
    if found is not None and found > LARGEST_KERF_MM:
        msg = f"'{value}' is no kerf: at most {LARGEST_KERF_MM:g} mm"
        raise ValueError(msg)
    return found


def _text(value: Any) -> str:
    if not isinstance(value, str) or len(value) > _LONGEST_TEXT or not value.isprintable():
        msg = f"it is not one line of text of at most {_LONGEST_TEXT} letters"
        raise ValueError(msg)
    return value.strip()


Number = Annotated[Decimal | None, BeforeValidator(typed_number)]
Time = Annotated[Decimal | None, BeforeValidator(_time)]
Percent = Annotated[Decimal | None, BeforeValidator(_percent)]
Days = Annotated[int | None, BeforeValidator(_days)]
Length = Annotated[float | None, BeforeValidator(_length)]
Kerf = Annotated[float | None, BeforeValidator(_kerf)]
Words = Annotated[str, BeforeValidator(_text)]


class _Keys(BaseModel):
    model_config = ConfigDict(extra="forbid")


class _Tube(_Keys):
    od: Length = None
    wall: Length = None
    steel: Words = ""
    per_metre: Number = None
    per_foot: Number = None
    per_kg: Number = None
    per_stick: Number = None
    stick: Length = None

    def rate(self) -> TubeRate:
        size = None if self.od is None or self.wall is None else TubeSize(od_mm=self.od, wall_mm=self.wall)
        prices = {name: getattr(self, name) for name in ("per_metre", "per_foot", "per_kg", "per_stick")}
        return TubeRate(tube=size, steel=self.steel, stick_mm=self.stick, **prices)


class _Prices(_Keys):
    sheet_per_kg: Number = None
    bolt_each: Number = None
    per_hour: Number = None


class _Minutes(_Keys):
    set_up: Time = None
    per_bar: Time = None
    per_bend: Time = None
    per_cope: Time = None
    per_foot: Time = None
    per_weld_metre: Time = None
    per_plate: Time = None
    per_gusset: Time = None


class _Extra(_Keys):
    what: Words = ""
    amount: Number = None
    hours: Time = None


class _Discount(_Keys):
    percent: Percent = None
    amount: Number = None


class _Tax(_Keys):
    name: Words = "tax"
    percent: Percent = None


class _Paper(_Keys):
    sender: list[Words] = Field(default_factory=list, max_length=8, alias="from")
    to: list[Words] = Field(default_factory=list, max_length=8)
    number: Words = ""
    terms: list[Words] = Field(default_factory=list, max_length=12)
    valid_days: Days = None


class RateFile(_Keys):
    """The file's keys; `Rates` is what the rest of the tool sees."""

    version: int = 1
    currency: Words = ""
    decimals: int = Field(default=2, ge=0, le=4)
    kerf: Kerf = None
    tube: list[_Tube] = Field(default_factory=list)
    price: _Prices = Field(default_factory=_Prices)
    minutes: _Minutes = Field(default_factory=_Minutes)
    extra: list[_Extra] = Field(default_factory=list)
    discount: _Discount = Field(default_factory=_Discount)
    tax: _Tax = Field(default_factory=_Tax)
    quote: _Paper = Field(default_factory=_Paper)

    def rates(self) -> Rates:
        """The rates as the rest of the tool sees them.

        Raises:
            UserError: `TUBE-001` for a size that cannot be.
        """
        return Rates(
            currency=self.currency,
            decimals=self.decimals,
            kerf_mm=self.kerf,
            tubes=tuple(row.rate() for row in self.tube),
            sheet_per_kg=self.price.sheet_per_kg,
            bolt_each=self.price.bolt_each,
            per_hour=self.price.per_hour,
            minutes=Minutes(**self.minutes.model_dump()),
            extras=tuple(Extra(**row.model_dump()) for row in self.extra if row.what),
            discount_percent=self.discount.percent,
            discount_amount=self.discount.amount,
            tax_name=self.tax.name or "tax",
            tax_percent=self.tax.percent,
            paper=OnPaper(
                sender=tuple(filter(None, self.quote.sender)),
                to=tuple(filter(None, self.quote.to)),
                number=self.quote.number,
                terms=tuple(filter(None, self.quote.terms)),
                valid_days=self.quote.valid_days,
            ),
        )


RATE_TABLES: dict[str, type[BaseModel]] = {
    "tube": _Tube,
    "price": _Prices,
    "minutes": _Minutes,
    "extra": _Extra,
    "discount": _Discount,
    "tax": _Tax,
    "quote": _Paper,
}
