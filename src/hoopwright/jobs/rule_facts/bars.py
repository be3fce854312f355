"""Every bar of a cage as a rule book looks at it."""

import re
from collections.abc import Collection, Sequence
from dataclasses import replace

import numpy as np

from hoopwright.bars import Bar, BendTable, as_node, bend_table
from hoopwright.cage import Member, Role, side_of
from hoopwright.cage.resolve import bar_of
from hoopwright.geometry import angle_between_deg
from hoopwright.jobs.hand_measures import OVALITY
from hoopwright.jobs.rule_facts.certificates import BatchWords, certificate_of
from hoopwright.jobs.rule_facts.patterns import struts_of
from hoopwright.jobs.rule_facts.scene import Scene
from hoopwright.rules.facts import BarFacts, BendFacts, Certificate, Place, Process

_LEAST_SEEN = 0.02
_PROCESSES = (
    (re.compile(r"\b(?:cds|cold[ -]drawn seamless)\b", re.IGNORECASE), Process.CDS),
    (re.compile(r"\b(?:dom|drawn over mandrel)\b", re.IGNORECASE), Process.DOM),
    (re.compile(r"\berw\b", re.IGNORECASE), Process.ERW),
    (re.compile(r"\bseamless\b", re.IGNORECASE), Process.SEAMLESS),
)


def bar_facts(scene: Scene, batches: BatchWords) -> tuple[BarFacts, ...]:
    """Every bar of the cage; a bar that cannot be bent has its tube and no shape."""
    parted = {name for role in Role for name in _in_pieces(scene, role)}
    return tuple(_bar(scene, member, batches, member.member_id in parted) for member in scene.cage.members)


def _in_pieces(scene: Scene, role: Role) -> tuple[str, ...]:
    """Bars of a role that go on in one line on the other side of what they end on: together they are one, in pieces."""
    struts = struts_of(
        scene, [member for member in scene.of_role(role) if scene.bars[member.member_id].bend_count == 0]
    )
    return tuple(name for strut in struts if len(strut.bars) > 1 for name in strut.bars)


def process_in(words: str) -> Process | None:
    """How a tube was made, where its words say exactly one way."""
    found = [process for pattern, process in _PROCESSES if pattern.search(words)]
    if Process.CDS in found and Process.SEAMLESS in found:
        found.remove(Process.SEAMLESS)
    return found[0] if len(found) == 1 else None


def _bar(scene: Scene, member: Member, batches: BatchWords, is_parted: bool) -> BarFacts:
    name = member.member_id
    steel, certificate = _made_of(scene, member, batches)
    known = BarFacts(
        bar_id=name,
        role=member.role,
        side=side_of(bar_of(scene.cage, name)),
        tube=member.tube,
        od_measured_mm=scene.measured(name, "outside diameter"),
        wall_measured_mm=scene.measured(name, "wall"),
        steel=steel,
        certificate=certificate,
        is_one_piece=not is_parted,  # a member is one blank, bent and cut
        is_required=_required(scene, name),
        padding_mm=scene.measured(name, "padding"),
    )
    bar = scene.bars.get(name)
    if bar is None:
        return known
    return replace(
        known,
        bends=_bends(scene, member, bar),
        leg_words=_leg_words(member),
        down_mm=_down(bar),
        length_mm=scene.paths[name].length_mm,
        place_mm=scene.middle(name),
    )


def with_legs(scene: Scene, bars: Sequence[BarFacts], marked: Collection[str]) -> tuple[BarFacts, ...]:
    """Bars that were looked at before, with the legs of some as they are marked now; all else of them as it was.

    Args:
        scene: The cage with the legs of now.
        bars: What is known of every bar.
        marked: Bars whose leg was marked otherwise since.
    """
    return tuple(_with_leg(scene, known) if known.bar_id in marked else known for known in bars)


def _with_leg(scene: Scene, known: BarFacts) -> BarFacts:
    bar = scene.bars.get(known.bar_id)
    if bar is None or known.bends is None:
        return known
    member, table = scene.cage.member(known.bar_id), bend_table(bar)
    bends = tuple(
        replace(bend, in_leg=_in_leg(member, middle, table.developed_mm))
        for bend, middle in zip(known.bends, _middles(table), strict=True)
    )
    return replace(known, bends=bends, leg_words=_leg_words(member))


def _leg_words(member: Member) -> str:
    return "" if member.leg_mm is None else f"the {member.leg_mm:.0f} mm from end {member.leg_from}"


def _required(scene: Scene, bar_id: str) -> bool | None:
    typed = scene.measured(bar_id, "required")
    return None if typed is None else typed > 0.0


def _down(bar: Bar) -> Place:
    upper, lower = sorted((bar.nodes_mm[0], bar.nodes_mm[-1]), key=lambda node: -node[2])
    return (lower[0] - upper[0], lower[1] - upper[1], lower[2] - upper[2])


def _bends(scene: Scene, member: Member, bar: Bar) -> tuple[BendFacts, ...]:
    table = bend_table(bar)
    middles = _middles(table)
    places = scene.paths[bar.name].at(middles) if middles else np.empty((0, 3))
    nodes = bar.nodes
    facts = []
    for number, (angle, middle, place) in enumerate(
        zip(table.angles_deg, middles, places, strict=True), start=1
    ):
        widths = scene.by_hand.get((bar.name, OVALITY, number))
        facts.append(
            BendFacts(
                angle_deg=angle,
                clr_mm=bar.clr_mm,
                is_reverse=abs(table.rotations_total_deg[number - 1]) > 90.0,
                in_leg=_in_leg(member, middle, table.developed_mm),
                side_view_deg=_side_view(
                    nodes[number] - nodes[number - 1], nodes[number + 1] - nodes[number]
                ),
                narrow_mm=None if widths is None else widths.measured,
                wide_mm=None if widths is None else widths.other,
                place_mm=as_node(place),
            )
        )
    return tuple(facts)


def _in_leg(member: Member, middle_mm: float, length_mm: float) -> bool | None:
    """Whether the middle of a bend lies in the leg, counted from the end that was marked; None where none is."""
    if member.leg_mm is None:
        return None
    return (middle_mm if member.leg_from == "A" else length_mm - middle_mm) <= member.leg_mm


def _middles(table: BendTable) -> list[float]:
    """Distance along from end A to the middle of each arc."""
    middles, at = [], 0.0
    for straight, arc in zip(table.straights_mm, table.arcs_mm, strict=False):
        middles.append(at + straight + arc / 2.0)
        at += straight + arc
    return middles


def _side_view(before: np.ndarray, after: np.ndarray) -> float | None:
    """Change of direction as seen from the side; None where a straight is seen end on."""
    seen = [leg[[0, 2]] for leg in (before, after)]
    lengths = [
        float(np.linalg.norm(one) / np.linalg.norm(leg))
        for one, leg in zip(seen, (before, after), strict=True)
    ]
    if min(lengths) < _LEAST_SEEN:
        return None
    return angle_between_deg(np.array([*seen[0], 0.0]), np.array([*seen[1], 0.0]))


def _made_of(scene: Scene, member: Member, batches: BatchWords) -> tuple[str, Certificate | None]:
    """Steel and certificate: of the tube that the bar was cut from, else as the person said of the bar."""
    name = member.member_id
    used = scene.project.tube_of.get(name)
    steel = used.steel if used is not None and used.steel else member.steel
    batch = None if used is None else batches.get(used.batch)
    typed = {
        key: scene.measured(name, word)
        for key, word in (
            ("carbon_percent", "carbon"),
            ("manganese_percent", "manganese"),
            ("other_percent", "other elements"),
            ("yield_mpa", "yield"),
            ("tensile_mpa", "tensile"),
        )
    }
    if typed["yield_mpa"] is None and batch is not None:
        typed["yield_mpa"] = batch.yield_mpa
    number = certificate_of(used, batches)
    process = process_in(steel)
    if not number and process is None and all(value is None for value in typed.values()):
        return steel, None
    return steel, Certificate(number=number, process=process, **typed)
