"""The keys that a book's head and every rule have in common."""

import datetime as dt
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from hoopwright.cage.car import WeightBasis
from hoopwright.cage.member import Role
from hoopwright.rules.book import Confidence, Provenance
from hoopwright.rules.typed_values import BookKeys, Mass, Number, Text, Texts, as_list
from hoopwright.units import LengthUnit

EVERY_BAR = "every bar"
BASES = {basis.name.lower().replace("_", " "): basis for basis in WeightBasis}


def _basis(value: Any) -> Any:
    if isinstance(value, str) and value.lower() in BASES:
        return BASES[value.lower()]
    if value in list(WeightBasis):
        return value
    msg = f"'{str(value)[:60]}' is not a basis of weight; type one of: {', '.join(BASES)}"
    raise ValueError(msg)


def _roles(value: Any) -> Any:
    listed = as_list(value)
    return [] if listed == [EVERY_BAR] else listed


def _day(value: Any) -> dt.date:
    if isinstance(value, dt.datetime):
        return value.date()
    if isinstance(value, dt.date):
        return value
    try:
        return dt.date.fromisoformat(str(value))
    except ValueError:
        msg = f"'{str(value)[:60]}' is not a day such as 2007-01-01"
        raise ValueError(msg) from None


Roles = Annotated[tuple[Role, ...], BeforeValidator(_roles)]
Basis = Annotated[WeightBasis, BeforeValidator(_basis)]
Day = Annotated[dt.date, BeforeValidator(_day)]
BookName = Annotated[Text, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]{0,79}$")]
RuleName = Annotated[Text, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9_. -]{0,79}$")]


class HeadKeys(BookKeys):
    """The head of a book."""

    book_id: BookName = Field(alias="id")
    body: Text
    name: Text = "rules"
    edition: Annotated[Text, Field(min_length=1)]
    mixes_editions: bool = False
    year: Annotated[int, Field(ge=1900, le=2200)] | None = None
    unit: LengthUnit
    weight_basis: Basis | None = None
    weight_unit: Literal["kg", "lb"] = "kg"
    cautions: Texts = ()
    source: Text = ""
    provenance: Provenance | None = None


class RuleKeys(BookKeys):
    """What every rule may say, whatever its kind."""

    rule_id: RuleName = Field(alias="id")
    clause: Text = ""
    page: Text = ""
    words: Text = ""
    kind: Text = ""
    same_as: Text = ""
    edition: Text = ""
    applies: Roles = ()
    but: Roles = ()
    unless: Text = ""
    provenance: Provenance | None = None
    confidence: Confidence = ""
    source: Text = ""
    assumption: Text = ""
    question: Text = ""
    weight_basis: Basis | None = None
    homologated_from: Day | None = None
    homologated_before: Day | None = None
    engine_over_cm3: Number | None = Field(None, alias="engine_over")
    engine_most_cm3: Number | None = Field(None, alias="engine_most")
    weight_over_kg: Mass | None = Field(None, alias="weight_over")
    weight_most_kg: Mass | None = Field(None, alias="weight_most")
    is_open: bool | None = Field(None, alias="open_car")
    if_fitted: Role | None = None
    unless_fitted: Role | None = None
    required: bool | None = None
    fixing: Literal["welded", "bolted"] | None = None


class NotDoneKeys(BookKeys):
    """A clause that no rule holds yet."""

    clause: Text
    words: Text
    why: Text = ""
    ask: Text = ""


CONDITION_KEYS = (
    *("homologated_from", "homologated_before", "engine_over_cm3", "engine_most_cm3"),
    *("weight_over_kg", "weight_most_kg", "is_open", "if_fitted", "unless_fitted", "required", "fixing"),
)
RULE_KEYS = tuple(field.alias or name for name, field in RuleKeys.model_fields.items())
