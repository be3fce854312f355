"""What a cage weighs and where its middle is, member by member and plate by plate."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import BarMass, Mass, ShapedEnd, all_together, as_node, bar_mass, centreline
from hoopwright.cage import EndLetter, Member, Role, feet_of
from hoopwright.findings import Finding, Severity
from hoopwright.geometry import Arc, solid_volume_mm3
from hoopwright.jobs.paper_source import PaperSource
from hoopwright.jobs.sheet_metal import ShownPlate, shown_plates
from hoopwright.joints.end_shapes import coped_end, sawn_end
from hoopwright.papers.folded_sheet import folded_mesh
from hoopwright.papers.plate_mesh import prism_mesh
from hoopwright.tubes import TubeSize

_LETTERS: tuple[EndLetter, EndLetter] = ("A", "B")


@dataclass(frozen=True, kw_only=True)
class MemberMass:
    """What one bar weighs between its cuts.

    Args:
        bar_id: The bar.
        role: What it is.
        tube: Its size.
        steel: What it is made of, as said of it, of its tube, or of the bar that it mirrors; empty until said.
        mass: Mass and centre, vehicle frame.
        length_mm: Between its cuts, each at its mean round the tube.
        bends: How many; corners that are straight through are none.
        ends: How each end counts, A before B: `coped`, `on its plate`, or `as drawn`.
        is_bent: Whether it counts as it was bent and measured.
    """

    bar_id: str
    role: Role
    tube: TubeSize
    steel: str
    mass: Mass
    length_mm: float
    bends: int
    ends: tuple[str, str]
    is_bent: bool


@dataclass(frozen=True, kw_only=True)
class PlateMass:
    """What a landing or a gusset weighs.

    Args:
        name: As written on its part.
        mass: Mass of the part as cut, holes left out, and centre of its sheet in the car.
    """

    name: str
    mass: Mass


@dataclass(frozen=True, kw_only=True)
class CageMass:
    """What a cage weighs.

    Args:
        members: Every bar that can be, in the cage's order.
        plates: Landings, then gussets.
        bars: All bars together.
        total: Bars and plates together.
        findings: What is not counted, or counts otherwise than it will be.
    """

    members: tuple[MemberMass, ...]
    plates: tuple[PlateMass, ...]
    bars: Mass
    total: Mass
    findings: tuple[Finding, ...]


def cage_mass(source: PaperSource) -> CageMass:
    """Mass and centre of what papers are made from, in the vehicle frame.

    Bars count along their true arcs between their cuts, as bent where they were measured. Welds, paint, bolts and
    padding are not counted.

    Args:
        source: The opened project.
    """
    members = tuple(_member_mass(source, member) for member in source.wanted)
    plates = _plates(source)
    every = [*(one.mass for one in members), *(one.mass for one in plates)]
    return CageMass(
        members=members,
        plates=plates,
        bars=all_together([one.mass for one in members]),
        total=all_together(every),
        findings=(*_drawn_ends(members, source), *_not_made(source)),
    )


def _member_mass(source: PaperSource, member: Member) -> MemberMass:
    name = member.member_id
    shaped = [_shape(source, name, letter) for letter in _LETTERS]
    found: BarMass = bar_mass(source.bars[name], [end for end, _ in shaped if end is not None])
    return MemberMass(
        bar_id=name,
        role=member.role,
        tube=member.tube,
        steel=_steel(source, member),
        mass=found.mass,
        length_mm=found.length_mm,
        bends=sum(isinstance(piece, Arc) for piece in centreline(source.bars[name]).pieces),
        ends=(shaped[0][1], shaped[1][1]),
        is_bent=name in source.bent,
    )


def _steel(source: PaperSource, member: Member) -> str:
    """Steel as it was said of the bar, of the tube that it was cut from, or of the bar that it mirrors."""
    used = source.project.tube_of.get(member.member_id)
    own = member.steel or ("" if used is None else used.steel)
    # a bar as bent stands free in the cage that exists, while it is drawn as a mirror
    mirrored = source.project.cage.member(member.member_id).mirror_of
    return own if own or mirrored is None else source.project.cage.member(mirrored).steel


def _shape(source: PaperSource, name: str, end: EndLetter) -> tuple[ShapedEnd | None, str]:
    cut, landing = source.cut(name, end), source.landing(name, end)
    if cut is not None:
        return coped_end(cut), "coped"
    if landing is not None:
        return sawn_end(source.bars[name], end, landing.cut.plane), "on its plate"
    return None, "as drawn"


def _plates(source: PaperSource) -> tuple[PlateMass, ...]:
    metal = source.metal
    masses = [*(one.mass_kg for one in metal.landings), *(one.mass_kg for one in metal.gussets)]
    return tuple(
        PlateMass(name=shown.name, mass=Mass(mass_kg=kg, centre_mm=as_node(_centre(shown))))
        for shown, kg in zip(shown_plates(metal), masses, strict=True)
    )


def _centre(shown: ShownPlate) -> np.ndarray:
    meshes = [prism_mesh(face.outline_mm, face.through_mm) for face in shown.faces]
    meshes += [] if shown.folded is None else [folded_mesh(shown.folded)]
    parts = [solid_volume_mm3(vertices[faces]) for vertices, faces in meshes]
    whole = math.fsum(abs(volume) for volume, _ in parts)
    return np.asarray(np.sum([abs(volume) * centre for volume, centre in parts], axis=0) / whole)


def _drawn_ends(members: Sequence[MemberMass], source: PaperSource) -> tuple[Finding, ...]:
    """Ends that will be cut and whose cut is not known: to a bar without a cut, or on the shell without a landing."""
    uncut: list[str] = []
    bare: list[str] = []
    for one in members:
        member = source.cage.member(one.bar_id)
        for letter, end, words in zip(_LETTERS, (member.end_a, member.end_b), one.ends, strict=True):
            if words == "as drawn" and end.kind != "free":
                (uncut if end.kind == "bar" else bare).append(f"{one.bar_id}-{letter}")
    found = []
    if uncut:
        found.append(
            Finding(
                code="MASS-001",
                sentence=f"{', '.join(uncut)}: the cope could not be reckoned, so these ends count to the node on the "
                "axis of the bar that they land on, and have no weld in the sums.",
                todo="Look at 'hoopwright joints'.",
                objects=tuple(uncut),
            )
        )
    if bare:
        found.append(
            Finding(
                code="MASS-002",
                severity=Severity.NOTE,
                sentence=f"{', '.join(bare)}: no landing is made there, so these feet count square where they are "
                "drawn, with no plate under them.",
                todo="Choose landings with 'hoopwright landing set'.",
                objects=tuple(bare),
            )
        )
    return tuple(found)


def _not_made(source: PaperSource) -> tuple[Finding, ...]:
    """Landings and gussets of the cage that could not be made."""
    wanted = [
        foot for foot in feet_of(source.cage) if foot.landing is not None and foot.bar_id in source.bars
    ]
    missing = [
        f"landing of {foot.bar_id}-{foot.end}"
        for foot in wanted
        if source.landing(foot.bar_id, foot.end) is None
    ]
    made = {one.gusset.name for one in source.metal.gussets}
    missing += [f"{one.kind.value} {one.name}" for one in source.cage.gussets if one.name not in made]
    if not missing:
        return ()
    return (
        Finding(
            code="MASS-003",
            sentence=f"{', '.join(missing)}: could not be made, so neither weight nor welds of it are in the sums.",
            todo="Look at 'hoopwright landing PROJECT' and 'hoopwright gusset list PROJECT'.",
            objects=tuple(missing),
        ),
    )
