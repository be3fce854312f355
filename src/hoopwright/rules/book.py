"""A rule book as data: one edition of one book, its rules, and the cases that show how each is meant."""

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal

from hoopwright.cage.car import WeightBasis
from hoopwright.cage.member import Role
from hoopwright.findings import Verdict
from hoopwright.rules.conditions import Conditions
from hoopwright.rules.facts import Facts
from hoopwright.rules.kinds.limits import Limits
from hoopwright.units import LengthUnit


class Provenance(StrEnum):
    """How a line of a book is known. What was only remembered is off until a person confirms it."""

    READ = "read"
    QUOTED = "quoted"
    SUMMARY = "summary"
    NOT_VERIFIED = "not verified"


Basis = Literal["read", "memory"]
NOT_STATED = "not stated"
Confidence = Literal["", "high", "medium", "low"]


@dataclass(frozen=True, kw_only=True)
class Case:
    """An example with a known end, run as a test.

    Args:
        name: What it shows.
        facts: What is known in it.
        expect: How the rule must end.
        is_advisory: Whether it must end with advice; None where the case does not say.
        basis: Whether its figures were read or only remembered.
        line: Its line in the file.
    """

    name: str
    facts: Facts
    expect: Verdict
    is_advisory: bool | None = None
    basis: Basis = "read"
    line: int = 0


@dataclass(frozen=True, kw_only=True)
class Rule:
    """One rule.

    Args:
        rule_id: Unique in the book.
        clause: As the book numbers it.
        page: As the book counts it.
        edition: In which it was read, in a book that mixes editions; empty where its source states none.
        words: What it demands, in our own words; empty leaves it to the limits.
        kind: Name of the kind of check.
        limits: What the kind needs; its type goes with the kind.
        roles: Bars that it is for; empty is every bar.
        but: Bars that it is not for.
        conditions: When it holds at all.
        unless: Another rule of the book; where that one passes, this one does not apply.
        weight_basis: What this rule counts as weight, where it is not what the book counts.
        provenance: How it is known.
        confidence: Of a line that was only remembered.
        source: Address and edition from which the line comes.
        assumption: How it is measured where the book does not say.
        question: What a person must answer where no model can.
        cases: Examples.
        line: Its line in the file.
    """

    rule_id: str
    clause: str = ""
    page: str = ""
    edition: str = ""
    words: str = ""
    kind: str
    limits: Limits
    roles: tuple[Role, ...] = ()
    but: tuple[Role, ...] = ()
    conditions: Conditions = field(default_factory=Conditions)
    unless: str = ""
    weight_basis: WeightBasis | None = None
    provenance: Provenance
    confidence: Confidence = ""
    source: str = ""
    assumption: str = ""
    question: str = ""
    cases: tuple[Case, ...] = ()
    line: int = 0


@dataclass(frozen=True, kw_only=True)
class Uncovered:
    """A clause that no rule of the book holds yet.

    Args:
        clause: As the book numbers it.
        words: What it is about.
        why: Why it is not done.
        ask: What a person asks of the printed book, by hand.
    """

    clause: str
    words: str
    why: str = ""
    ask: str = ""


@dataclass(frozen=True, kw_only=True)
class Book:
    """One edition of one rule book.

    Args:
        book_id: Name of the file without its ending, as a project pins it.
        body: Who publishes it.
        name: Its title.
        edition: Its edition.
        mixes_editions: Whether its lines are of several, as each says.
        year: Year of the edition; None where not known.
        unit: Unit of its lengths, in which values are shown.
        weight_basis: What its weights count; None where it asks for no weight.
        weight_unit: Unit of its weights.
        cautions: What a reader must know of the whole book.
        source: Address from which it comes.
        rules: In the order of the file.
        not_done: Clauses that no rule holds yet.
    """

    book_id: str
    body: str
    name: str
    edition: str
    mixes_editions: bool = False
    year: int | None = None
    unit: LengthUnit = "mm"
    weight_basis: WeightBasis | None = None
    weight_unit: Literal["kg", "lb"] = "kg"
    cautions: tuple[str, ...] = ()
    source: str = ""
    rules: tuple[Rule, ...] = ()
    not_done: tuple[Uncovered, ...] = ()

    def edition_of(self, rule: Rule) -> str:
        """The edition in which a rule was read: that of the book, or what the rule says where the book mixes them."""
        return (rule.edition or NOT_STATED) if self.mixes_editions else self.edition
