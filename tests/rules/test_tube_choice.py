"""Tubes that a book allows, against its own table and the mass and stiffness of published tables."""

from types import MappingProxyType

import pytest

from hoopwright.cage.car import Car, WeightBasis
from hoopwright.cage.member import Role
from hoopwright.findings import Verdict
from hoopwright.rules.reading import book_from_text
from hoopwright.rules.tube_choice import tube_choices
from hoopwright.tubes import common_steels, sold_sizes

HEAD = '[book]\nid = "b"\nbody = "B"\nedition = "1"\nunit = "mm"\nprovenance = "read"\n'
# Motorsport UK NCR 2026, Ch. 7 App. 3, 20.1, read in the publisher's text
MSUK = (
    HEAD
    + """
[[rule]]
id = "mandatory"
kind = "tube size"
required = true
sizes = ["45 x 2.5", "50 x 2.0"]
also = ["1.75 x .095 in", "2.0 x .083 in"]
[[rule]]
id = "optional"
kind = "tube size"
required = false
sizes = ["38 x 2.5", "40 x 2.0"]
also = ["1.5 x .095 in", "1.6 x .083 in"]
[[rule]]
id = "material"
kind = "material"
process = "cold drawn seamless"
carbon_most = 0.3
yield_least = 350
"""
)
E355 = [steel for steel in common_steels() if steel.name == "E355+N"]


def choices(text, role=Role.MAIN_HOOP, car=None, **more):
    return tube_choices(
        book_from_text(text, "b.toml"), car or Car(), role, sold_sizes(), common_steels(), **more
    )


def allowed(found):
    return [one for one in found if one.verdict is Verdict.PASS]


def test_the_lightest_allowed_tube_comes_first():
    first = allowed(choices(MSUK))[0]
    assert first.size.words == "50 x 2 mm"
    assert round(first.kg_per_m, 2) == 2.37  # kg/m as dealers' tables to EN 10305-1 print it; from memory
    assert first.ei_n_mm2 == pytest.approx(205_000 * 87_010, rel=1e-4)
    masses = [one.kg_per_m for one in allowed(choices(MSUK))]
    assert masses == sorted(masses)


def test_every_allowed_tube_is_at_least_a_size_of_the_book():
    listed = ((45.0, 2.5), (50.0, 2.0), (44.45, 2.413), (50.8, 2.1082))
    for one in choices(MSUK):
        tube = one.size.tube
        enough = any(tube.od_mm >= od - 1e-4 and tube.wall_mm >= wall - 1e-4 for od, wall in listed)
        strong = one.steel.process == "cold drawn seamless" and one.steel.yield_mpa >= 350
        assert (one.verdict is Verdict.PASS) is (enough and strong), (one.size.words, one.steel.name)


def test_why_a_tube_is_not_allowed_is_told():
    (thin,) = [one for one in choices(MSUK) if (one.size.words, one.steel.name) == ("45 x 2 mm", "E235+N")]
    assert thin.why[0].startswith("rule mandatory: 45 x 2 mm against 45 x 2.5 mm")
    assert thin.why[1] == "rule material yield strength: 235 MPa against >= 350 MPa"


def test_a_bar_that_the_book_does_not_demand_may_be_smaller():
    assert allowed(choices(MSUK, Role.DASH_BAR, is_required=False))[0].size.words == "40 x 2 mm"


def test_without_the_weight_nothing_is_allowed_or_refused():
    text = HEAD.replace('unit = "mm"', 'unit = "in"\nweight_unit = "lb"\nweight_basis = "without driver"')
    text += '[[rule]]\nid = "r"\nkind = "tube size"\n'
    text += 'bands = [{ below = 2500, sizes = "1.5 x .095" }, { sizes = "1.5 x .120" }]\n'
    assert {one.verdict for one in choices(text)} == {Verdict.NOT_CHECKED}
    car = Car(weights_kg=MappingProxyType({WeightBasis.WITHOUT_DRIVER: 2400 * 0.45359237}))
    light = allowed(choices(text, car=car))
    assert "1.5 x 0.095 in" in {one.size.words for one in light}
    heavy = Car(weights_kg=MappingProxyType({WeightBasis.WITHOUT_DRIVER: 2500 * 0.45359237}))
    assert "1.5 x 0.095 in" not in {one.size.words for one in allowed(choices(text, car=heavy))}


def test_a_book_that_is_off_allows_nothing():
    found = choices(MSUK.replace('"read"', '"not verified"'))
    assert not allowed(found)
    confirmed = frozenset({"mandatory", "optional", "material"})
    assert allowed(choices(MSUK.replace('"read"', '"not verified"'), confirmed=confirmed))


def test_a_book_without_a_limit_on_tubes_is_told():
    found = choices(HEAD + '[[rule]]\nid = "r"\nkind = "helmet"\nleast = 50\n')
    assert {one.verdict for one in found} == {Verdict.NOT_APPLICABLE}
