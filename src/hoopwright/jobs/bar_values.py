"""What a bar is made of and where its leg ends: its tube, its steel, its leg. A mirrored pair changes together."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from hoopwright.bars import bend_table, developed_mm
from hoopwright.cage import Cage, EndLetter, Member, bar_of
from hoopwright.cage.edits import replace_member
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.cage_bars import radius_inside
from hoopwright.jobs.cage_edits import check_can_be_bent, edit_cage
from hoopwright.store import Project, ProjectFolder
from hoopwright.tubes import TubeSize

_LEVEL_MM = 1.0


@dataclass(frozen=True, kw_only=True)
class ChangedBars:
    """What was changed.

    Args:
        bars: Names; a bar, and its mirror or what it mirrors.
        findings: What a person should know.
    """

    bars: tuple[str, ...]
    findings: tuple[Finding, ...]


def set_tube(
    folder: ProjectFolder,
    bar_id: str,
    tube: TubeSize,
    *,
    die: str | None = None,
    clr_mm: float | None = None,
    steel: str | None = None,
) -> ChangedBars:
    """Make a bar of another tube; its nodes stay, and all that hangs on the tube is derived anew.

    Args:
        folder: The project.
        bar_id: The bar.
        tube: Its new size.
        die: Its new die; the same without.
        clr_mm: Centreline radius that it is drawn with; the same without.
        steel: Its new steel; the same without.

    Raises:
        UserError: `CAGE-001`, `CAGE-025`, and `BAR-...` for a bar that could not be bent so.
    """

    def changed(member: Member) -> Member:
        radius = member.clr_mm if clr_mm is None else clr_mm
        of = member.steel if steel is None else " ".join(steel.split())
        return replace(member, tube=tube, die=die or member.die, clr_mm=radius, steel=of)

    before = folder.open().project
    old = before.cage.member(bar_id)
    if len(bar_of(before.cage, bar_id).nodes_mm) > 2 and changed(old).clr_mm <= tube.od_mm / 2.0:
        raise UserError(radius_inside(bar_id, changed(old).clr_mm, tube))
    done = _change(folder, bar_id, changed)
    told = [*done.findings, *(found for name in done.bars for found in _is_bent_already(before, name, tube))]
    told += _sheets_old(before, done.bars, tube)
    if tube.od_mm != old.tube.od_mm and die is None:
        told.append(_same_die(bar_id, old, tube))
    return replace(done, findings=tuple(told))


def set_steel(folder: ProjectFolder, bar_id: str, steel: str) -> ChangedBars:
    """Say what a bar is made of, in the words of its certificate; empty words take it back.

    Raises:
        UserError: `CAGE-001`.
    """
    return _change(folder, bar_id, lambda member: replace(member, steel=" ".join(steel.split())))


@dataclass(frozen=True, kw_only=True)
class LegEnd:
    """A place where a bar's leg may end.

    Args:
        words: Between which bends it lies.
        leg_mm: How far it is along the bar from the end that the leg is counted from: the middle of that straight.
        bends: How many bends the leg has then.
    """

    words: str
    leg_mm: float
    bends: int


def foot_end(cage: Cage, bar_id: str) -> EndLetter:
    """The end of a bar that its leg is counted from where nobody says: the one on the shell, else the lower; else A.

    Of two ends on the shell, or of none, it is the lower by more than 1 mm.

    Raises:
        UserError: `CAGE-001`.
    """
    member, nodes = cage.member(bar_id), bar_of(cage, bar_id).nodes_mm
    stands = [end.kind == "shell" for end in (member.end_a, member.end_b)]
    if stands[0] is not stands[1]:
        return "A" if stands[0] else "B"
    return "B" if nodes[-1][2] < nodes[0][2] - _LEVEL_MM else "A"


def leg_ends(cage: Cage, bar_id: str, leg_from: EndLetter = "A") -> tuple[LegEnd, ...]:
    """Where the leg of a bar may end, in each of its straights, from the nearest to the end that it is counted from.

    Args:
        cage: The cage.
        bar_id: The bar.
        leg_from: The end that the leg is counted from.

    Raises:
        UserError: `CAGE-001`, and `BAR-...` for a bar that could not be bent so.
    """
    bar = bar_of(cage, bar_id)
    check_can_be_bent(bar)
    table = bend_table(bar)
    bends = len(table.angles_deg)
    ends, at_mm = [], 0.0
    for number, straight_mm in enumerate(table.straights_mm):
        if not bends:
            words = "the whole bar, which has no bend"
        elif number == 0:
            words = "before bend 1"
        elif number == bends:
            words = f"after bend {bends}"
        else:
            words = f"between bend {number} and bend {number + 1}"
        ends.append(LegEnd(words=words, leg_mm=at_mm + straight_mm / 2.0, bends=number))
        at_mm += straight_mm + (table.arcs_mm[number] if number < bends else 0.0)
    if leg_from == "A":
        return tuple(ends)
    return tuple(
        replace(end, leg_mm=at_mm - end.leg_mm, bends=bends - end.bends, words=_from_b(number, bends))
        for number, end in reversed(list(enumerate(ends)))
    )


def _from_b(number: int, bends: int) -> str:
    if not bends:
        return "the whole bar, which has no bend"
    if number == bends:
        return f"before bend {bends}, the first from end B"
    return "after bend 1" if number == 0 else f"between bend {number + 1} and bend {number}"


def mark_leg(
    folder: ProjectFolder, bar_id: str, leg_mm: float | None, leg_from: EndLetter | None = None
) -> ChangedBars:
    """Mark how far from one of its ends a bar counts as its leg; None takes the mark away.

    Args:
        folder: The project.
        bar_id: The bar.
        leg_mm: Length along the bar.
        leg_from: The end that it is counted from; the one at its foot without.

    Raises:
        UserError: `CAGE-001`; `HELD-001` for a leg that is longer than the bar.
    """
    cage = folder.open().project.cage
    at = foot_end(cage, bar_id) if leg_from is None else leg_from
    if leg_mm is not None:
        _check_leg(cage, bar_id, leg_mm)
    return _change(
        folder, bar_id, lambda member: replace(member, leg_mm=leg_mm, leg_from="A" if leg_mm is None else at)
    )


def _change(folder: ProjectFolder, bar_id: str, change: Callable[[Member], Member]) -> ChangedBars:
    names = pair_of(folder.open().project.cage, bar_id)

    def edited(cage: Cage) -> Cage:
        for name in names:
            cage = replace_member(cage, change(cage.member(name)))
            check_can_be_bent(bar_of(cage, name))
        return cage

    return ChangedBars(bars=names, findings=edit_cage(folder, edited, bar_id))


def pair_of(cage: Cage, bar_id: str) -> tuple[str, ...]:
    """A bar, and the bars that mirror it or that it mirrors, in the cage's order.

    Raises:
        UserError: `CAGE-001`.
    """
    source = cage.member(bar_id).mirror_of or bar_id
    return tuple(one.member_id for one in cage.members if source in (one.member_id, one.mirror_of))


def _check_leg(cage: Cage, bar_id: str, leg_mm: float) -> None:
    bar = bar_of(cage, bar_id)
    check_can_be_bent(bar)
    length_mm = developed_mm(bar)
    if not 0.0 < leg_mm <= length_mm:
        raise UserError(
            Finding(
                code="HELD-001",
                severity=Severity.STOP,
                sentence=f"The leg of bar {bar_id} cannot be {leg_mm:g} mm long: the bar is {length_mm:.0f} mm along "
                "its centreline.",
                todo="Type the length along the bar from the end at its foot to where its leg ends.",
                objects=(bar_id,),
                measured=leg_mm,
                limit=length_mm,
                unit="mm",
            )
        )


def _is_bent_already(project: Project, bar_id: str, tube: TubeSize) -> tuple[Finding, ...]:
    old = project.cage.member(bar_id).tube
    if old == tube or all(record.bar_id != bar_id for record in project.as_bent_in_force):
        return ()
    return (
        Finding(
            code="HELD-002",
            sentence=f"Bar {bar_id} was bent and measured as tube {old}; it is now drawn as {tube}.",
            todo="Bend it anew, or go back to the tube that it is made of. 'hoopwright asbent --drop' lets the drawn "
            "bar count.",
            objects=(bar_id,),
        ),
    )


def _sheets_old(project: Project, bars: tuple[str, ...], tube: TubeSize) -> tuple[Finding, ...]:
    issued = [name for name in bars if project.last_issued(name) and project.cage.member(name).tube != tube]
    if not issued:
        return ()
    return (
        Finding(
            code="HELD-008",
            severity=Severity.NOTE,
            sentence=f"Sheets issued for {', '.join(issued)} are of the tube before: they are OLD.",
            todo="Issue them anew with 'hoopwright sheets', and take the old ones off the bench. Another tube wants "
            "sample bends of its own.",
            objects=tuple(issued),
        ),
    )


def _same_die(bar_id: str, old: Member, tube: TubeSize) -> Finding:
    return Finding(
        code="HELD-003",
        severity=Severity.NOTE,
        sentence=f"Bar {bar_id} goes from tube {old.tube} to {tube} on the same die '{old.die}'.",
        todo="A die bends one diameter: name the new one (--die) and its radius (--clr).",
        objects=(bar_id,),
    )
