"""The blanks of a project as pieces to saw: as long as their sheets say, by tube size and steel."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from hoopwright.bender import BarSheet
from hoopwright.cage import Cage, Member
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.calibrations import calibrations_at_hand
from hoopwright.jobs.sheets import SheetWishes, sheet_of
from hoopwright.jobs.shop_at_hand import shop_at_hand
from hoopwright.stock import Piece
from hoopwright.store import Project, ProjectFolder
from hoopwright.tubes import TubeSize

_AGAIN = "Name a bar to saw it again: 'Only these bars' under Sticks (--only)."
Size = tuple[TubeSize, str]
"""Tube size and steel."""


@dataclass(frozen=True, kw_only=True)
class Blanks:
    """What is to be sawn for a project.

    Args:
        pieces: By tube size and steel.
        sheets: The sheet of each bar that can be made.
        left_out: Bars that are not in it, with the reason.
        findings: What a person should know.
    """

    pieces: Mapping[Size, tuple[Piece, ...]]
    sheets: Mapping[str, BarSheet]
    left_out: tuple[tuple[str, str], ...]
    findings: tuple[Finding, ...]


def blanks_of(
    folder: ProjectFolder,
    project: Project,
    *,
    only: Sequence[str] = (),
    together: Sequence[Sequence[str]] = (),
) -> Blanks:
    """The blanks of all bars that are not cut yet, or of those that are named.

    Args:
        folder: The project.
        project: As it was read.
        only: Bars; without, all that no stick was taken for.
        together: Groups of bars that share a batch, beside mirrored pairs.

    Raises:
        UserError: `CAGE-001` for a bar that is not there; `STOCK-002` where nothing is left to cut, with the reasons.
    """
    cage = project.cage
    for name in (*only, *(name for group in together for name in group)):
        cage.member(name)
    cut = [name for name, used in project.tube_of.items() if used.stick and name in cage]
    members = [cage.member(name) for name in dict.fromkeys(only)] if only else list(cage.members)
    wanted = [member for member in members if only or member.member_id not in cut]
    sheets, left_out = _sheets(folder, project, wanted)
    shared = _shared(cage, sheets, together)
    pieces: dict[Size, list[Piece]] = {}
    for member in wanted:
        name = member.member_id
        if name in sheets:
            piece = Piece(name=name, length_mm=sheets[name].blank_mm, together=shared.get(name, ""))
            pieces.setdefault((member.tube, member.steel), []).append(piece)
    findings = (
        *_made_already(cut, only),
        *(_left_out(name, why) for name, why in left_out),
        *_not_issued(project, sheets),
    )
    if not pieces:
        raise UserError(_nothing(project, cut), *findings)
    return Blanks(
        pieces={size: tuple(found) for size, found in sorted(pieces.items(), key=lambda one: one[0])},
        sheets=sheets,
        left_out=left_out,
        findings=findings,
    )


def _sheets(
    folder: ProjectFolder, project: Project, members: Sequence[Member]
) -> tuple[dict[str, BarSheet], tuple[tuple[str, str], ...]]:
    calibrations, shop = calibrations_at_hand(folder, members), shop_at_hand()
    sheets, left_out = {}, []
    for member in members:
        try:
            # the day is on the sheet alone, no length hangs on it
            sheets[member.member_id] = sheet_of(project, member, calibrations, SheetWishes(date=""), shop)
        except UserError as error:
            left_out.append((member.member_id, error.findings[0].sentence))
    return sheets, tuple(left_out)


def _shared(cage: Cage, sheets: Mapping[str, BarSheet], together: Sequence[Sequence[str]]) -> dict[str, str]:
    """Group of each bar that shares a batch: bent mirrored pairs and named ones; groups that touch are one."""
    pairs = [(m.member_id, m.mirror_of) for m in cage.members if m.mirror_of is not None]
    bent = [pair for pair in pairs if all(name in sheets and sheets[name].steps for name in pair)]
    groups: list[set[str]] = []
    for names in (*bent, *together):
        joined = set(names)
        apart = []
        for group in groups:
            if group & joined:
                joined |= group
            else:
                apart.append(group)
        groups = [*apart, joined]
    return {name: " and ".join(sorted(group)) for group in groups for name in group}


def _left_out(name: str, why: str) -> Finding:
    return Finding(
        code="STOCK-003",
        sentence=f"Bar {name} is not in the plan, since no sheet can be made of it: {why}",
        todo="Mend that first: without it the length of the blank would be a guess.",
        objects=(name,),
    )


def _not_issued(project: Project, sheets: Mapping[str, BarSheet]) -> tuple[Finding, ...]:
    """Bars whose sheet is not in force: the size of the scan may not be proven, and nobody has a paper of them."""
    last = {name: project.last_issued(name) for name in sheets}
    names = [name for name, one in last.items() if one is None or one.identity != sheets[name].identity]
    if not names:
        return ()
    return (
        Finding(
            code="STOCK-008",
            sentence=f"{', '.join(names)}: no sheet in force; these lengths are as a sheet would have them now.",
            todo="Issue the sheets with 'hoopwright sheets' before you saw: they ask for the scan's size to be proven.",
            objects=tuple(names),
        ),
    )


def _made_already(cut: Sequence[str], only: Sequence[str]) -> tuple[Finding, ...]:
    if only or not cut:
        return ()
    return (
        Finding(
            code="STOCK-004",
            severity=Severity.NOTE,
            sentence=f"{', '.join(cut)}: sticks were taken for these already, so they are not in the plan.",
            todo=_AGAIN,
            objects=tuple(cut),
        ),
    )


def _nothing(project: Project, cut: Sequence[str]) -> Finding:
    why, todo = (
        "none of its bars can be made yet",
        "Calibrate the die with its tube: each bar says what it lacks.",
    )
    if not project.cage.members:
        why, todo = (
            "there are no bars",
            "Add bars with 'hoopwright layout' or 'hoopwright bar add'.",
        )
    elif cut:
        why, todo = "all bars that can be made are cut already", _AGAIN
    return Finding(
        code="STOCK-002",
        severity=Severity.STOP,
        sentence=f"There is nothing to saw for {project.name}: {why}.",
        todo=todo,
        objects=(project.name,),
    )
