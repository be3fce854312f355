"""What was measured or said of the metal goes before what was drawn: feet, plates, tubes and their steel."""

import pytest
from tests.jobs.rule_facts.typed import hoop, measure, one_measure

from hoopwright.cage import Cage, Foot, Landing
from hoopwright.jobs.landings import LandedFoot
from hoopwright.jobs.rule_facts.bars import process_in
from hoopwright.jobs.rule_facts.feet import foot_facts
from hoopwright.jobs.rule_facts.scene import Scene
from hoopwright.rules.facts import Process
from hoopwright.store import Project
from hoopwright.store.build_records import HandMeasure, TubeUsed


def test_a_tube_without_the_number_of_its_certificate_is_told(facts):
    used = TubeUsed(
        bar_id="MH", batch="", stick="", steel="E355", heat_number="", certificate="", date="2026-01-01"
    )
    found = facts(hoop(steel="E235"), project=Project(name="car", tubes_used=(used,)), told=True)
    assert [one.code for one in found] == ["HELD-006", "HELD-007"]
    (mh,) = facts(hoop(), project=Project(name="car", tubes_used=(used,))).bars
    assert mh.certificate is None


def test_feet_as_drawn_and_as_measured(facts):
    landing = Landing(
        bar_id="MH", end="A", length_mm=110.0, width_mm=100.0, thickness_mm=3.0, bolts=3, bolt_mm=8.0
    )
    found = facts(hoop(), landings=(landing,))
    first, second = found.feet
    assert (first.bar_id, first.side, first.planes_mm) == ("MH foot A", "L", ((110.0, 100.0),))
    assert (first.thickness_mm, first.bolts, first.bolt_mm, first.is_bolted) == (3.0, 3, 8.0, True)
    assert (second.bar_id, second.side, second.planes_mm, second.thickness_mm) == (
        "MH foot B",
        "R",
        None,
        None,
    )
    hands = tuple(
        HandMeasure(about="MH foot A", name=name, bend=0, measured=value, other=None, date="2026-01-01")
        for name, value in (("plate length", 120.0), ("plate width", 105.0), ("bolts", 4.0))
    )
    measured = facts(hoop(), landings=(landing,), project=Project(name="car", measures=hands)).feet[0]
    assert (measured.planes_mm, measured.bolts) == (((120.0, 105.0),), 4)


def test_a_plate_that_cannot_be_fitted_where_a_scan_is_is_no_plate(facts):
    foot = Foot(
        bar_id="MH", end="A", landing=Landing(bar_id="MH", end="A", length_mm=110.0, width_mm=100.0, bolts=3)
    )
    cage = Cage(members=(hoop(),), landings=(foot.landing,))
    scene = Scene(project=Project(name="car"), cage=cage, bars={}, paths={}, meetings=(), by_hand={})
    drawn, _ = foot_facts(scene, None)
    assert drawn.planes_mm == ((110.0, 100.0),)
    none, _ = foot_facts(scene, (LandedFoot(foot=foot, fitted=None, findings=()),))
    assert (none.planes_mm, none.area_mm2, none.thickness_mm, none.bolts) == (None, None, None, None)


def test_measured_by_hand(facts):
    def hand(about, name, measured, other=None, bend=0):
        return HandMeasure(
            about=about, name=name, bend=bend, measured=measured, other=other, date="2026-01-01"
        )

    hands = (
        hand("MH", "ovality", 40.9, 46.2, bend=1), hand("MH", "wall", 2.41), hand("MH", "wall", 2.44),
        hand("MH", "padding", 25.0), hand("MH", "padding", None), hand("cage", "pillar gap", 180.0),
        hand("MH", "carbon", 0.18), hand("MH", "required", 1.0),
    )  # fmt: skip
    found = facts(hoop(steel="E235 CDS"), project=Project(name="car", measures=hands))
    (mh,) = found.bars
    assert [(one.narrow_mm, one.wide_mm) for one in mh.bends] == [(40.9, 46.2), (None, None)]
    assert (mh.wall_measured_mm, mh.padding_mm, mh.is_required) == (2.44, None, True)
    assert (mh.certificate.carbon_percent, mh.certificate.process) == (0.18, Process.CDS)
    assert one_measure(found, "pillar gap", "cage").measured == 180.0
    gone = (hand("DB1-L", "below hoop top", 5.0),)
    assert measure(facts(hoop(), project=Project(name="car", measures=gone)), "below hoop top", "DB1-L") == []


def test_the_tube_that_a_bar_was_cut_from_goes_before_what_was_meant(facts):
    used = TubeUsed(
        bar_id="MH",
        batch="",
        stick="",
        steel="E355 seamless",
        heat_number="H1",
        certificate="C-77",
        date="2026-01-01",
    )
    (mh,) = facts(hoop(steel="E235 ERW"), project=Project(name="car", tubes_used=(used,))).bars
    assert (mh.steel, mh.certificate.number, mh.certificate.process) == (
        "E355 seamless",
        "C-77",
        Process.SEAMLESS,
    )


@pytest.mark.parametrize(
    ("words", "process"),
    [
        ("E235 CDS", Process.CDS), ("cold drawn seamless 350", Process.CDS), ("1020 DOM", Process.DOM),
        ("S235 ERW", Process.ERW), ("4130 seamless", Process.SEAMLESS), ("E235", None), ("freedom steel", None),
        ("DOM or ERW", None),
    ],
)  # fmt: skip
def test_how_a_tube_was_made_is_read_and_not_guessed(words, process):
    assert process_in(words) is process
