"""A number that was measured at a side or at the cage, in a rule for bars of a role."""

import pytest

from hoopwright.cage.member import Role
from hoopwright.rules.engine import check_book
from hoopwright.rules.facts import BarFacts, Facts, Measured
from hoopwright.rules.reading import book_from_text

HEAD = (
    '[book]\nid = "b"\nbody = "B"\nedition = "2026"\nunit = "mm"\nprovenance = "read"\n[[rule]]\nid = "r"\n'
)


@pytest.mark.parametrize(
    ("name", "about", "ends"),
    [
        # no model has it: a person measures it where the book says
        ("pillar gap", "cage", "pass"),
        ("pillar gap", "L", "pass"),
        ("pillar gap", "XX", "not checked"),
        # of a bar by what it is: which bar was it?
        ("below hoop top", "cage", "not checked"),
    ],
)
def test_a_measure_of_the_cage_needs_no_role(name, about, ends):
    rule = f'kind = "distance"\nof = "{name}"\nmost = 200\napplies = "side bar"\n'
    facts = Facts(
        bars=(BarFacts(bar_id="SB-L", role=Role.SIDE_BAR),),
        measures=(Measured(name=name, about=about, measured=150.0),),
    )
    (row,) = check_book(book_from_text(HEAD + rule, "b.toml"), facts)
    assert row.verdict == ends
    if name == "below hoop top":
        assert row.todo == "measure it at a side bar: 'cage' does not say at which"
