"""What all papers for cutting and looking are made from: the cage as it exists, once for every kind of paper."""

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from hoopwright.bars import Bar, check_shape
from hoopwright.bender import Calibration
from hoopwright.cage import Cage, EndLetter, Member, bars_of
from hoopwright.findings import Finding, Severity, UserError, stopping
from hoopwright.jobs.bent_cage import cage_to_cut
from hoopwright.jobs.calibrations import calibration_for, calibrations_at_hand
from hoopwright.jobs.joints import cuts_of
from hoopwright.jobs.sheet_metal import SheetMetal, sheet_metal
from hoopwright.joints.landing import FittedLanding
from hoopwright.joints.meet import CutWishes, EndCut
from hoopwright.papers import A4, PaperSize
from hoopwright.papers.picture import BAR_COLOURS, Colour
from hoopwright.progress import Progress, silent
from hoopwright.shell.shell import Shell
from hoopwright.store import Project, ProjectFolder
from hoopwright.units import LengthUnit

_IDENTITY_DIGITS = 10
_HASHED_DECIMALS = 6


@dataclass(frozen=True, kw_only=True)
class MadePapers:
    """What one kind of paper came out as.

    Args:
        files: Content of each file, by name relative to the folder of papers.
        findings: What a person should know.
    """

    files: Mapping[str, bytes]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, kw_only=True, eq=False)
class PaperSource:
    """What papers are made from.

    Args:
        folder: The project's folder.
        project: The project.
        cage: The cage as it exists: bent bars as bent, all others with their finished radius.
        bent: Bars that were bent and measured.
        bars: Bars that can be, by name.
        only: Bars that papers are wanted of; all without.
        cuts: The cut of each end that lands on other bars, where one could be made.
        cut_findings: What a person should know of the cuts, and why some could not be made.
        metal: Landings and gussets as they come out.
        identity: Of what all of this is made from.
        date: Day of making, ISO 8601.
        unit: Unit of the figures.
        paper: Size of printed pages.
        with_shell: Whether the shell goes into what is for looking.
    """

    folder: ProjectFolder
    project: Project
    cage: Cage
    bent: tuple[str, ...]
    bars: Mapping[str, Bar]
    only: tuple[str, ...]
    cuts: tuple[EndCut, ...]
    cut_findings: tuple[Finding, ...]
    metal: SheetMetal
    identity: str
    date: str
    unit: LengthUnit = "mm"
    paper: PaperSize = A4
    with_shell: bool = False

    @property
    def wanted(self) -> tuple[Member, ...]:
        """Members that papers are wanted of and that can be, in the cage's order."""
        return tuple(
            member
            for member in self.cage.members
            if member.member_id in self.bars and (not self.only or member.member_id in self.only)
        )

    @property
    def made_from(self) -> str:
        """In words, for what a file says of itself."""
        return f"{self.project.name}, identity {self.identity}"

    def colour(self, member: Member) -> Colour:
        """The colour of a member's role, the same on every paper of this cage."""
        roles = list(dict.fromkeys(one.role for one in self.cage.members))
        return BAR_COLOURS[roles.index(member.role) % len(BAR_COLOURS)]

    def cut(self, bar_id: str, end: EndLetter) -> EndCut | None:
        """The cut of an end, where one could be made."""
        return next((one for one in self.cuts if (one.bar_id, one.end) == (bar_id, end)), None)

    def landing(self, bar_id: str, end: EndLetter) -> FittedLanding | None:
        """The landing of an end, where one was chosen and could be fitted."""
        return next((one for one in self.metal.landings if (one.bar_id, one.end) == (bar_id, end)), None)

    def headers(self, member: Member, end: EndLetter) -> tuple[str, ...]:
        """Bars that an end is cut to: those of its cut, else the bar that it lands on."""
        cut = self.cut(member.member_id, end)
        if cut is not None:
            names = tuple(header.bar_id for header in cut.headers)
        else:
            drawn = member.end_a if end == "A" else member.end_b
            names = (drawn.on,) if drawn.kind == "bar" and drawn.on is not None else ()
        return tuple(name for name in names if name in self.bars)


def paper_source(
    folder: ProjectFolder,
    *,
    date: str,
    only: Sequence[str] = (),
    unit: LengthUnit = "mm",
    cut: CutWishes | None = None,
    paper: PaperSize = A4,
    with_shell: bool = False,
    project: Project | None = None,
    whole: Shell | None = None,
    progress: Progress = silent,
) -> tuple[PaperSource, tuple[Finding, ...]]:
    """Open a project for making papers.

    Args:
        folder: The project.
        date: Day of making, ISO 8601.
        only: Bars that papers are wanted of; all without.
        unit: Unit of the figures.
        cut: How copes are wanted.
        paper: Size of printed pages.
        with_shell: Whether the shell goes into what is for looking.
        project: The project, where it is open already.
        whole: Its shell without holes, where that is open already.
        progress: Told how far it is.

    Raises:
        UserError: `STORE-...` for a project that cannot be opened, `CAGE-001` for a bar that is not there,
            `FILE-105` for a cage without bars; `JOINT-012`, `JOINT-014` for what was typed of copes.
    """
    project = folder.open().project if project is None else project
    existing = cage_to_cut(folder, project)
    cage = existing.cage
    for name in only:
        cage.member(name)
    bars, broken = _bars_that_can_be(cage)
    wishes = cut or CutWishes()
    cuts, _, _ = cuts_of(folder, project, wishes, only=only, progress=progress)
    source = PaperSource(
        folder=folder,
        project=project,
        cage=cage,
        bent=existing.bent,
        bars=MappingProxyType(bars),
        only=tuple(only),
        cuts=cuts.ends,
        cut_findings=cuts.all_findings,
        metal=sheet_metal(folder, project, cage, only or bars, whole=whole, progress=progress),
        identity=_identity(project, cage, calibrations_at_hand(folder, cage.members), wishes),
        date=date,
        unit=unit,
        paper=paper,
        with_shell=with_shell,
    )
    return source, (*existing.findings, *broken)


def _bars_that_can_be(cage: Cage) -> tuple[dict[str, Bar], tuple[Finding, ...]]:
    every = bars_of(cage)
    if not every:
        raise UserError(
            Finding(
                code="FILE-105",
                severity=Severity.STOP,
                sentence="The cage has no bars yet, so there is nothing to make papers of.",
                todo="Add bars with 'hoopwright layout' or 'hoopwright bar add'.",
            )
        )
    faults = {name: stopping(check_shape(bar)) for name, bar in every.items()}
    broken = tuple(
        Finding(
            code="FILE-106",
            sentence=f"Bar {name} cannot be, so it is in none of the files: {stops[0].sentence}",
            todo=stops[0].todo,
            objects=(name,),
        )
        for name, stops in faults.items()
        if stops
    )
    if len(broken) == len(every):
        raise UserError(*(stop for stops in faults.values() for stop in stops))
    return {name: bar for name, bar in every.items() if not faults[name]}, broken


def _identity(project: Project, cage: Cage, calibrations: tuple[Calibration, ...], wishes: CutWishes) -> str:
    """First ten hex digits of the SHA-256 of all that papers are made from."""
    bars, scan = bars_of(cage), project.scan
    made_of: dict[str, Any] = {
        "project": project.name,
        "scan": None if scan is None else [scan.sha256, scan.unit, *_rounded(scan.to_vehicle.shift_mm)],
        "bars": [
            {
                "bar": member.member_id,
                "role": member.role.value,
                "nodes_mm": [_rounded(node) for node in bars[member.member_id].nodes_mm],
                "tube_mm": _rounded((member.tube.od_mm, member.tube.wall_mm)),
                "clr_mm": _rounded((member.clr_mm,)),
                "calibration": _calibration_keys(member, calibrations),
                "ends": [
                    [end.kind, end.on, *_rounded((end.trim_mm,))] for end in (member.end_a, member.end_b)
                ],
            }
            for member in cage.members
        ],
        "landings": [repr(landing) for landing in cage.landings],
        "gussets": [repr(gusset) for gusset in cage.gussets],
        "order": list(wishes.order or cage.order),
        "cut": _wish_keys(wishes),
    }
    text = json.dumps(made_of, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:_IDENTITY_DIGITS]


def _wish_keys(wishes: CutWishes) -> dict[str, Any]:
    return {
        "wall": wishes.cut,
        "points": wishes.points,
        "root_gap_mm": _rounded((wishes.root_gap_mm,)),
        "root_gaps_mm": {name: _rounded((gap,)) for name, gap in wishes.root_gaps_mm.items()},
        "oval_bends": {
            f"{bar} {bend}": _rounded((oval.in_plane_mm, oval.across_mm))
            for (bar, bend), oval in wishes.oval_bends.items()
        },
    }


def _calibration_keys(member: Member, calibrations: tuple[Calibration, ...]) -> list[Any]:
    """What marks along the tube, and so where a wrap is set, hang on."""
    found = calibration_for(calibrations, member, placeholder=True)
    numbers = (found.used_per_deg_mm, found.start_offset_mm)
    return [
        found.name,
        found.calibrated,
        *(None if one is None else round(one, _HASHED_DECIMALS) for one in numbers),
    ]


def _rounded(values: Iterable[float]) -> list[float]:
    return [round(float(value), _HASHED_DECIMALS) + 0.0 for value in values]


def file_word(words: str) -> str:
    """A name as a part of a file's name: letters, digits and dashes."""
    kept = "".join(letter if letter.isalnum() and letter.isascii() else "-" for letter in words)
    return "-".join(part for part in kept.split("-") if part)
