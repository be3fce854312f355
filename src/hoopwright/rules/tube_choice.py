"""Which tubes a book allows for a bar of a role: each size with each steel, and why the others are not allowed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from hoopwright.cage.car import Car
from hoopwright.cage.member import Role
from hoopwright.findings import Verdict
from hoopwright.rules.book import Book, Rule
from hoopwright.rules.engine import OFF_WORDS, rows_of, rules_on
from hoopwright.rules.facts import BarFacts, Certificate, Facts, Process
from hoopwright.rules.rows import RuleRow, overall
from hoopwright.tubes import SoldSize, Steel, section_properties

_OF_THE_TUBE = ("tube size", "section", "tube equivalent", "same tube", "material")
_ORDER = (Verdict.PASS, Verdict.NOT_CHECKED, Verdict.NOT_APPLICABLE, Verdict.FAIL)


@dataclass(frozen=True, kw_only=True)
class TubeChoice:
    """One size in one steel, held against a book.

    Args:
        size: The size.
        steel: The steel, at its least values.
        verdict: Pass where it meets every limit of the book on a bar of that role; not checked where something is not
            known or the book's limits are off; not applicable where the book has none.
        kg_per_m: Mass of a metre.
        ei_n_mm2: Bending stiffness.
        moment_n_mm: Bending moment at which it yields.
        why: Why it is not allowed, or what is not known.
        rules: Rules that were held against it.
    """

    size: SoldSize
    steel: Steel
    verdict: Verdict
    kg_per_m: float
    ei_n_mm2: float
    moment_n_mm: float
    why: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()


def tube_choices(
    book: Book,
    car: Car,
    role: Role,
    sizes: Sequence[SoldSize],
    steels: Sequence[Steel],
    *,
    is_required: bool = True,
    confirmed: frozenset[str] = frozenset(),
) -> tuple[TubeChoice, ...]:
    """Every size in every steel: those that the book allows first, the lightest first among them.

    Args:
        book: The book.
        car: The car, whose weight may decide.
        role: What the bar is.
        sizes: Sizes that can be had.
        steels: Steels that they can be had in.
        is_required: Whether the book demands the bar.
        confirmed: Rules that the person compared with the book.
    """
    on = rules_on(book, confirmed)
    choices = [_choice(book, on, car, role, size, steel, is_required) for size in sizes for steel in steels]
    return tuple(sorted(choices, key=lambda one: (_ORDER.index(one.verdict), one.kg_per_m, -one.moment_n_mm)))


def _choice(
    book: Book,
    on: Mapping[str, Rule],
    car: Car,
    role: Role,
    size: SoldSize,
    steel: Steel,
    is_required: bool,
) -> TubeChoice:
    certificate = Certificate(
        process=Process(steel.process),
        carbon_percent=steel.carbon_percent,
        manganese_percent=steel.manganese_percent,
        yield_mpa=steel.yield_mpa,
        tensile_mpa=steel.tensile_mpa,
    )
    bar = BarFacts(
        bar_id=role.value,
        role=role,
        tube=size.tube,
        steel=f"{steel.name} {steel.process}",
        certificate=certificate,
        is_required=is_required,
    )
    facts = Facts(car=car, bars=(bar,))
    rows: list[RuleRow] = []
    off: list[Rule] = []
    for rule in book.rules:
        if rule.kind in _OF_THE_TUBE and rule.rule_id not in on:
            off.append(rule)
        elif rule.kind in _OF_THE_TUBE:
            rows += rows_of(book, rule, facts, on)
    off = [rule for rule in off if role not in rule.but and (not rule.roles or role in rule.roles)]
    held = [row for row in rows if row.verdict is not Verdict.NOT_APPLICABLE]
    verdicts = [row.verdict for row in held] + [Verdict.NOT_CHECKED for _ in off]
    section = section_properties(size.tube)
    return TubeChoice(
        size=size,
        steel=steel,
        verdict=overall(verdicts),
        kg_per_m=section.kg_per_m,
        ei_n_mm2=steel.e_mpa * section.i_mm4,
        moment_n_mm=steel.yield_mpa * section.z_mm3,
        why=(*_reasons(held), *(f"rule {rule.rule_id} is {OFF_WORDS}" for rule in off)),
        rules=tuple(dict.fromkeys(row.rule_id for row in held)),
    )


def _reasons(rows: Sequence[RuleRow]) -> tuple[str, ...]:
    """What each row that does not pass says."""
    told = []
    for row in rows:
        part = f" {row.part}" if row.part else ""
        if row.verdict is Verdict.FAIL:
            told.append(f"rule {row.rule_id}{part}: {row.measured_words} against {row.limit_words}")
        elif row.verdict is Verdict.NOT_CHECKED:
            told.append(f"rule {row.rule_id}{part}: {row.todo}")
    return tuple(told)
