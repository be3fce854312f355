"""What a cage takes to make: metres, bends, copes, welds, plates, and what it weighs."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from hoopwright.cage import EndLetter
from hoopwright.findings import Finding
from hoopwright.jobs.cage_masses import CageMass, MemberMass, cage_mass
from hoopwright.jobs.marked_tubes import marked_tubes
from hoopwright.jobs.paper_source import PaperSource, paper_source
from hoopwright.joints.weld_lengths import foot_weld_mm, gusset_weld_mm, landing_weld_mm
from hoopwright.progress import Progress, silent
from hoopwright.stock.money import Needs, TubeNeed
from hoopwright.store import ProjectFolder
from hoopwright.tubes import TubeSize, section_properties

_LETTERS: tuple[EndLetter, EndLetter] = ("A", "B")


@dataclass(frozen=True, kw_only=True)
class TubeMetres:
    """The tube of one size and steel.

    Args:
        tube: The size.
        steel: In the words of the certificate; empty until said.
        net_mm: Between the cuts of the finished bars.
        bar_ids: Bars of which a piece is sawn.
        pieces_mm: Of each the piece as it is sawn: trims, and what the bends use of the tube.
        net_kg: Mass of the finished bars.
    """

    tube: TubeSize
    steel: str
    net_mm: float
    bar_ids: tuple[str, ...]
    pieces_mm: tuple[float, ...]
    net_kg: float

    @property
    def cut_mm(self) -> float:
        """All pieces together."""
        return math.fsum(self.pieces_mm)


@dataclass(frozen=True, kw_only=True)
class WeldSum:
    """Welds of one kind.

    Args:
        kind: `bars on bars`, `feet`, `landings`, or `gussets`.
        count: How many joints or parts.
        length_mm: All together.
    """

    kind: str
    count: int
    length_mm: float


@dataclass(frozen=True, kw_only=True)
class Quantities:
    """What a cage takes.

    Args:
        project: Name of the project.
        identity: Hash of what it was reckoned from.
        mass: By member and in total.
        tubes: By size and steel.
        bends: How many.
        copes: Coped ends.
        feet: Ends that stand on the shell.
        sawn_feet: Those that are cut to a landing.
        landings: How many.
        gussets: Gussets and ties.
        bolts: Of all landings.
        sheet_kg: Plates and gussets as cut.
        welds: By kind.
        findings: What a person should know.
    """

    project: str
    identity: str
    mass: CageMass
    tubes: tuple[TubeMetres, ...]
    bends: int
    copes: int
    feet: int
    sawn_feet: int
    landings: int
    gussets: int
    bolts: int
    sheet_kg: float
    welds: tuple[WeldSum, ...]
    findings: tuple[Finding, ...]

    @property
    def weld_mm(self) -> float:
        """All welds together."""
        return math.fsum(one.length_mm for one in self.welds)

    @property
    def net_mm(self) -> float:
        """All tube between the cuts of the finished bars."""
        return math.fsum(one.net_mm for one in self.tubes)

    @property
    def cut_mm(self) -> float:
        """All tube as it is sawn."""
        return math.fsum(one.cut_mm for one in self.tubes)

    @property
    def bars(self) -> int:
        """How many bars."""
        return len(self.mass.members)


def quantities_of(folder: ProjectFolder, *, progress: Progress = silent) -> Quantities:
    """What the cage of a project takes, with the bars that exist where they were measured.

    Args:
        folder: The project.
        progress: Told how far it is.

    Raises:
        UserError: `STORE-...` for a project that cannot be opened; `FILE-105` for a cage without bars; `CAL-...` and
            `SHOP-...` for files that cannot be read.
    """
    source, findings = paper_source(folder, date="", progress=progress)
    progress("weighing", 0.9)
    mass = cage_mass(source)
    found = Quantities(
        project=source.project.name,
        identity=source.identity,
        mass=mass,
        tubes=_tubes(source, mass.members),
        bends=sum(one.bends for one in mass.members),
        copes=len(source.cuts),
        feet=_feet(source),
        sawn_feet=len(source.metal.landings),
        landings=len(source.metal.landings),
        gussets=len(source.metal.gussets),
        bolts=sum(one.landing.bolts for one in source.metal.landings),
        sheet_kg=math.fsum(one.mass.mass_kg for one in mass.plates),
        welds=_welds(source),
        findings=(*findings, *mass.findings),
    )
    progress("reckoned", 1.0)
    return found


def needs_of(found: Quantities) -> Needs:
    """What is priced of a cage."""
    return Needs(
        tubes=tuple(
            TubeNeed(
                tube=one.tube,
                steel=one.steel,
                lengths_mm=one.pieces_mm,
                kg_per_m=section_properties(one.tube).kg_per_m,
            )
            for one in found.tubes
        ),
        sheet_kg=found.sheet_kg,
        bolts=found.bolts,
        bars=found.bars,
        bends=found.bends,
        copes=found.copes,
        feet=found.sawn_feet,
        weld_mm=found.weld_mm,
        plates=found.landings,
        gussets=found.gussets,
    )


def _tubes(source: PaperSource, members: Iterable[MemberMass]) -> tuple[TubeMetres, ...]:
    marked = marked_tubes(source.folder, source.project, source.wanted)
    by_size: dict[tuple[TubeSize, str], list[MemberMass]] = {}
    for one in members:
        by_size.setdefault((one.tube, one.steel), []).append(one)
    return tuple(
        TubeMetres(
            tube=tube,
            steel=steel,
            net_mm=math.fsum(one.length_mm for one in group),
            bar_ids=tuple(one.bar_id for one in group if one.bar_id in marked),
            pieces_mm=tuple(marked[one.bar_id].blank_mm for one in group if one.bar_id in marked),
            net_kg=math.fsum(one.mass.mass_kg for one in group),
        )
        for (tube, steel), group in sorted(by_size.items(), key=lambda item: item[0])
    )


def _feet(source: PaperSource) -> int:
    return sum(end.kind == "shell" for member in source.wanted for end in (member.end_a, member.end_b))


def _welds(source: PaperSource) -> tuple[WeldSum, ...]:
    feet = [
        _foot_mm(source, member.member_id, letter)
        for member in source.wanted
        for letter, end in zip(_LETTERS, (member.end_a, member.end_b), strict=True)
        if end.kind == "shell" and source.cut(member.member_id, letter) is None
    ]
    kinds = (
        ("bars on bars", [cut.weld.length_mm for cut in source.cuts]),
        ("feet", feet),
        ("landings", [landing_weld_mm(one) for one in source.metal.landings]),
        ("gussets", [gusset_weld_mm(one) for one in source.metal.gussets]),
    )
    return tuple(
        WeldSum(kind=kind, count=len(lengths), length_mm=math.fsum(lengths))
        for kind, lengths in kinds
        if lengths
    )


def _foot_mm(source: PaperSource, name: str, end: EndLetter) -> float:
    landing = source.landing(name, end)
    return foot_weld_mm(source.bars[name].tube.od_mm, 0.0 if landing is None else landing.cut.angle_deg)
