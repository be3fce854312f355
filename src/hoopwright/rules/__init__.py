"""Rule books as data, and the engine that holds a cage against them."""

from hoopwright.rules.book import Book, Case, Provenance, Rule, Uncovered
from hoopwright.rules.cases import Disagreement, check_cases
from hoopwright.rules.coverage import CoverageRow, Covered, coverage
from hoopwright.rules.engine import OFF_WORDS, ByHand, cage_findings, check_book, is_off, rows_of
from hoopwright.rules.facts import (
    BarFacts,
    BendFacts,
    Certificate,
    DriverFacts,
    Extent,
    Facts,
    FootFacts,
    GussetFacts,
    HelmetRoom,
    HoleFacts,
    JointFacts,
    Measured,
    OpeningFacts,
    Pattern,
    Process,
)
from hoopwright.rules.measures import MEASURES, MeasureMeaning
from hoopwright.rules.reading import book_from_text, read_book
from hoopwright.rules.rows import RuleRow, overall
from hoopwright.rules.tube_choice import TubeChoice, tube_choices

__all__ = [
    "MEASURES",
    "OFF_WORDS",
    "BarFacts",
    "BendFacts",
    "Book",
    "ByHand",
    "Case",
    "Certificate",
    "CoverageRow",
    "Covered",
    "Disagreement",
    "DriverFacts",
    "Extent",
    "Facts",
    "FootFacts",
    "GussetFacts",
    "HelmetRoom",
    "HoleFacts",
    "JointFacts",
    "MeasureMeaning",
    "Measured",
    "OpeningFacts",
    "Pattern",
    "Process",
    "Provenance",
    "Rule",
    "RuleRow",
    "TubeChoice",
    "Uncovered",
    "book_from_text",
    "cage_findings",
    "check_book",
    "check_cases",
    "coverage",
    "is_off",
    "overall",
    "read_book",
    "rows_of",
    "tube_choices",
]
