"""Gussets and ties: added, removed, and made to their true shape on the bars and the scan as they are."""

import math
from dataclasses import dataclass, replace

from hoopwright.bars import Node
from hoopwright.cage import Cage, Gusset, GussetKind, add_gusset, bar_of, on_other_side, remove_gusset
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.bent_cage import cage_to_cut
from hoopwright.jobs.shells import open_shell
from hoopwright.joints.gusset import (
    LEAST_LEG_MM,
    GussetLimits,
    JudgedSize,
    MadeGusset,
    check_limits,
    find_corner,
    flat_gusset,
    folded_gusset,
    pillar_tie,
    sharpest_corner,
    tie_place,
)
from hoopwright.progress import Progress, silent
from hoopwright.shell.shell import Shell
from hoopwright.store import ProjectFolder

USUAL_LEG_OD = 2.5
"""Leg of a gusset where none is typed, in outside diameters of the larger tube: common practice, no source."""
USUAL_TIE_MM = 120.0
"""Length of a tie along its bar where none is typed: common practice, no source."""


@dataclass(frozen=True, kw_only=True, eq=False)
class ListedGusset:
    """A gusset and what it comes out as.

    Args:
        gusset: As it is meant.
        made: Its true shape; None where it cannot be made, which the findings say.
        sizes: Each size against its typed limit.
        findings: What a person should know of it.
    """

    gusset: Gusset
    made: MadeGusset | None
    sizes: tuple[JudgedSize, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, kw_only=True)
class WantedGusset:
    """A gusset as it is asked for; what is None is found or usual.

    Args:
        name: Unique in the cage.
        kind: What it is.
        bar_id: The bar that it is welded to.
        other: The other bar; None for a tie.
        place_mm: Inside the corner, or where on the bar; None takes the sharpest corner of the two bars, or where
            the metal lies nearest along the whole tie.
        leg_mm: Length along each bar.
        thickness_mm: Of its sheet.
        hole_mm: Diameter of its hole or dimple; 0 has none.
    """

    name: str
    kind: GussetKind
    bar_id: str
    other: str | None
    place_mm: Node | None
    leg_mm: float | None
    thickness_mm: float
    hole_mm: float


def put_gusset(
    folder: ProjectFolder, wanted: WantedGusset, *, other_side: str | None = None, progress: Progress = silent
) -> tuple[ListedGusset, ...]:
    """Add a gusset to the cage, and with `other_side` the same on the other side under that name.

    Args:
        folder: The project.
        wanted: What is asked.
        other_side: Name of the one on the other side, or None.
        progress: Told how far it is.

    Returns:
        What was added, each with its true shape.

    Raises:
        UserError: `CAGE-001`, and all of GUSSET for what cannot be; nothing is added then.
    """
    opened = folder.open()
    cage = cage_to_cut(folder, opened.project).cage
    shell = open_shell(folder, opened.project, progress=progress) if wanted.other is None else None
    gussets = [_settled(cage, wanted, shell)]
    if other_side is not None:
        twin = on_other_side(cage, gussets[0], other_side)
        if shell is not None and wanted.place_mm is None:
            # the sides of a shell are never quite alike: each tie has its own best place
            twin = replace(twin, place_mm=tie_place(twin, bar_of(cage, twin.bar_id), shell))
        gussets.append(twin)
    made = [_make(cage, gusset, shell) for gusset in gussets]
    whole = opened.project.cage
    for gusset in gussets:
        whole = add_gusset(whole, gusset)
    folder.save(opened, replace(opened.project, cage=whole))
    return tuple(_listed(cage, one.gusset, one, GussetLimits()) for one in made)


def list_gussets(
    folder: ProjectFolder, *, limits: GussetLimits | None = None, progress: Progress = silent
) -> tuple[ListedGusset, ...]:
    """Every gusset and tie, made on the bars and the scan as they are now.

    Raises:
        UserError: What stops the project or its scan from being opened.
    """
    project = folder.open().project
    cage = cage_to_cut(folder, project).cage
    ties = any(one.other is None for one in cage.gussets)
    shell = open_shell(folder, project, progress=progress) if ties else None
    return gussets_of(cage, shell, limits or GussetLimits())


def gussets_of(
    cage: Cage, shell: Shell | None, limits: GussetLimits, *, no_shell: tuple[Finding, ...] = ()
) -> tuple[ListedGusset, ...]:
    """Every gusset and tie of a cage; what cannot be made is listed with why.

    Args:
        cage: With the bars as they exist.
        shell: Needed for ties only.
        limits: As typed.
        no_shell: Why there is no shell, for the ties that cannot be made then.
    """
    listed = []
    for gusset in cage.gussets:
        try:
            if gusset.other is None and no_shell:
                raise UserError(*no_shell)
            listed.append(_listed(cage, gusset, _make(cage, gusset, shell), limits))
        except UserError as error:
            listed.append(ListedGusset(gusset=gusset, made=None, sizes=(), findings=_left_out(error)))
    return tuple(listed)


def take_gusset_out(folder: ProjectFolder, name: str) -> None:
    """Remove a gusset.

    Raises:
        UserError: `GUSSET-009` when there is none of that name.
    """
    opened = folder.open()
    folder.save(opened, replace(opened.project, cage=remove_gusset(opened.project.cage, name)))


def _settled(cage: Cage, wanted: WantedGusset, shell: Shell | None) -> Gusset:
    """What is asked, with the usual leg as far as the straights allow it, and a place where none is typed."""
    bar = bar_of(cage, wanted.bar_id)
    bare = Gusset(
        name=wanted.name,
        kind=wanted.kind,
        bar_id=wanted.bar_id,
        other=wanted.other,
        place_mm=wanted.place_mm or bar.nodes_mm[0],
        leg_mm=USUAL_TIE_MM if wanted.leg_mm is None else wanted.leg_mm,
        thickness_mm=wanted.thickness_mm,
        hole_mm=wanted.hole_mm,
    )
    if wanted.other is None:
        if shell is None or wanted.place_mm is not None:
            return bare
        return replace(bare, place_mm=tie_place(bare, bar, shell))
    other = bar_of(cage, wanted.other)
    if wanted.place_mm is None:
        place, corner = sharpest_corner(bar, other)
    else:
        place, corner = wanted.place_mm, find_corner(bar, other, wanted.place_mm)
    usual = USUAL_LEG_OD * max(bar.tube.od_mm, other.tube.od_mm)
    room = float(math.floor(min(corner.room_a_mm, corner.room_b_mm)))
    leg = wanted.leg_mm if wanted.leg_mm is not None else min(usual, max(room, LEAST_LEG_MM))
    return replace(bare, place_mm=place, leg_mm=leg)


def _make(cage: Cage, gusset: Gusset, shell: Shell | None) -> MadeGusset:
    bar = bar_of(cage, gusset.bar_id)
    if gusset.other is None:
        if shell is None:
            msg = "a tie needs the shell"
            raise ValueError(msg)
        return pillar_tie(gusset, bar, shell)
    corner = find_corner(bar, bar_of(cage, gusset.other), gusset.place_mm)
    make = folded_gusset if gusset.kind is GussetKind.FOLDED else flat_gusset
    return make(gusset, corner)


def _left_out(error: UserError) -> tuple[Finding, ...]:
    """What stops one gusset does not stop the list."""
    return tuple(replace(finding, severity=Severity.WARNING) for finding in error.findings)


def _listed(cage: Cage, gusset: Gusset, made: MadeGusset, limits: GussetLimits) -> ListedGusset:
    names = [gusset.bar_id] if gusset.other is None else [gusset.bar_id, gusset.other]
    larger = max(cage.member(name).tube.od_mm for name in names)
    if gusset.other is None:
        # a tie has no legs between tubes: only its sheet is held against a limit
        limits = replace(limits, least_leg_ratio=None, most_leg_ratio=None)
    sizes = check_limits(gusset, larger, limits)
    return ListedGusset(gusset=gusset, made=made, sizes=sizes, findings=made.findings)
