"""Which bars a book demands: those of a rule that is in force, where there are no more than it asks for."""

from types import MappingProxyType

import pytest

from hoopwright.cage.car import Car, WeightBasis
from hoopwright.cage.member import Role
from hoopwright.findings import Verdict
from hoopwright.rules.demanded import with_demanded
from hoopwright.rules.engine import ByHand, check_book
from hoopwright.rules.facts import BarFacts, Facts, FootFacts, Measured
from hoopwright.rules.reading import book_from_text

HEAD = '[book]\nid = "b"\nbody = "B"\nedition = "2026"\nunit = "mm"\nprovenance = "read"\nweight_basis = "kerb"\n'
DOORS = '[[rule]]\nid = "doors"\nkind = "members"\napplies = "door bar"\nleast = 1\non = "each side"\n'
ONE, OTHER, SECOND, DASH = (
    BarFacts(bar_id=name, role=role, side=side)
    for name, role, side in (
        ("DB-L", Role.DOOR_BAR, "L"),
        ("DB-R", Role.DOOR_BAR, "R"),
        ("DB2-L", Role.DOOR_BAR, "L"),
        ("DASH", Role.DASH_BAR, ""),
    )
)


def demanded(rules, *bars, car=None, answers=None, measures=()):
    """Bars that a book demands."""
    facts = Facts(car=car or Car(), bars=bars, measures=measures)
    told = with_demanded(book_from_text(HEAD + rules, "b.toml"), facts, answers=answers or {})
    return [bar.bar_id for bar in told.bars if bar.is_required]


def test_bars_up_to_the_number_that_is_asked_are_demanded():
    assert demanded(DOORS, ONE, OTHER, DASH) == ["DB-L", "DB-R"]


def test_each_side_is_counted_for_itself():
    # two on the left are one more than the book asks for there, though none is on the right
    assert demanded(DOORS, ONE, SECOND) == []
    assert demanded(DOORS, ONE, SECOND, OTHER) == ["DB-R"]


def test_the_drivers_side_alone():
    driver = DOORS.replace("each side", "driver's side")
    assert demanded(driver, OTHER, car=Car(driver_side="L")) == []
    assert demanded(driver, ONE, OTHER, car=Car(driver_side="L")) == ["DB-L"]
    assert demanded(driver, ONE, OTHER) == []


@pytest.mark.parametrize(
    ("condition", "car", "expected"),
    [
        ("homologated_from = 2007-01-01", Car(homologated="2010-01-01"), ["DB-L", "DB-R"]),
        ("homologated_from = 2007-01-01", Car(homologated="2001-01-01"), []),
        ("homologated_from = 2007-01-01", Car(), []),
        ("open_car = true", Car(is_open=True), ["DB-L", "DB-R"]),
        ("open_car = true", Car(is_open=False), []),
        ("weight_over = 900", Car(weights_kg=MappingProxyType({WeightBasis.KERB: 950.0})), ["DB-L", "DB-R"]),
        ("weight_over = 900", Car(weights_kg=MappingProxyType({WeightBasis.KERB: 850.0})), []),
        ('if_fitted = "dash bar"', Car(), ["DB-L", "DB-R"]),
        ('if_fitted = "harness bar"', Car(), []),
    ],
)
def test_a_rule_that_does_not_hold_demands_nothing(condition, car, expected):
    assert demanded(DOORS + condition + "\n", ONE, OTHER, DASH, car=car) == expected


def test_a_rule_that_gives_way_demands_nothing_there():
    rules = DOORS + 'unless = "gap"\n[[rule]]\nid = "gap"\nkind = "distance"\nof = "pillar gap"\nmost = 200\n'
    gap = Measured(name="pillar gap", about="L", measured=150.0)
    # with so small a gap on the left, the bar there was added freely
    assert demanded(rules, ONE, OTHER, measures=(gap,)) == ["DB-R"]


def test_an_answer_to_the_exception_takes_the_demand_away():
    rules = (
        DOORS + 'unless = "ask"\n[[rule]]\nid = "ask"\nkind = "question"\nquestion = "Is it a roadster?"\n'
    )
    yes = ByHand(verdict=Verdict.PASS, words="seen", by="A", date="2026-03-02")
    assert demanded(rules, ONE, OTHER) == ["DB-L", "DB-R"]
    assert demanded(rules, ONE, OTHER, answers={"ask": yes}) == []


def test_what_was_typed_of_a_bar_stays():
    freely = BarFacts(bar_id="DB-L", role=Role.DOOR_BAR, side="L", is_required=False)
    assert demanded(DOORS, freely, OTHER) == ["DB-R"]


@pytest.mark.parametrize(
    ("is_required", "verdict"), [(True, "pass"), (False, "not applicable"), (None, "not checked")]
)
@pytest.mark.parametrize(
    "rule",
    [
        'kind = "plate"\nthickness_least = 3\n',
        'kind = "distance"\nof = "below hoop top"\nmost = 100\n',
    ],
)
def test_demanded_bars_only_goes_for_their_feet_and_measures_too(rule, is_required, verdict):
    facts = Facts(
        bars=(BarFacts(bar_id="DB-L", role=Role.DOOR_BAR, side="L", is_required=is_required),),
        feet=(FootFacts(bar_id="DB-L foot A", role=Role.DOOR_BAR, thickness_mm=4.0),),
        measures=(Measured(name="below hoop top", about="DB-L", role=Role.DOOR_BAR, measured=50.0),),
    )
    book = book_from_text(
        f'{HEAD}[[rule]]\nid = "r"\nrequired = true\napplies = "door bar"\n{rule}', "b.toml"
    )
    assert [row.verdict for row in check_book(book, facts)] == [verdict]
