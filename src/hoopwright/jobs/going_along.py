"""What goes along when a bar is changed, and what a person should know of it."""

from hoopwright.bars import check_shape
from hoopwright.cage import Cage, bars_of, end_meetings, follow, free_from_mirror, holes_gone_along
from hoopwright.findings import Finding, Severity, stopping
from hoopwright.jobs.meetings import loose_end

_TOLD_MM = 0.05


def taken_along(before: Cage, after: Cage) -> tuple[Cage, tuple[Finding, ...]]:
    """The cage with the ends that land on changed bars gone along, and what a person should know of it."""
    if any(stopping(check_shape(bar)) for bar in (*bars_of(before).values(), *bars_of(after).values())):
        return after, ()
    followed = follow(before, after)
    told = (
        (
            "CAGE-020",
            followed.moved,
            "Their ends went along",
            "Look at their gaps with 'hoopwright check', and fit again those that need it.",
        ),
        (
            "CAGE-021",
            followed.left,
            "Could not be bent with their ends there and stayed",
            "Fit them again from their new ends.",
        ),
        (
            "CAGE-023",
            followed.twisted,
            "With their ends gone along, their bends no longer lie in one plane",
            "Fit them again in a plane with 'hoopwright fit', or bend them with the rotations of the sheet.",
        ),
        (
            "CAGE-022",
            followed.parted,
            "What they land on changed on one side only, so these mirrored bars no longer meet it",
            "Free them with 'hoopwright bar free' and move their ends, or change the other side too.",
        ),
    )
    return followed.cage, tuple(
        Finding(
            code=code,
            severity=Severity.NOTE if code == "CAGE-020" else Severity.WARNING,
            sentence=f"{sentence}: {', '.join(names)}.",
            todo=todo,
            objects=names,
        )
        for code, names, sentence, todo in told
        if names
    )


def holes_along(before: Cage, after: Cage) -> tuple[Cage, tuple[Finding, ...]]:
    """The cage with the holes of changed bars gone along, and what a person should know of it."""
    cage, went = holes_gone_along(before, after)
    return cage, tuple(
        Finding(
            code="HOLE-003",
            severity=Severity.NOTE,
            sentence=f"The holes for bar {name} went along with it, up to {far_mm:.1f} mm.",
            todo="Look with 'hoopwright check' at what they cut now. A hole that is cut already stays where it is.",
            objects=(name,),
            measured=far_mm,
            unit="mm",
        )
        for name, far_mm in went.items()
        if far_mm >= _TOLD_MM
    )


def taken_along_freed(before: Cage, after: Cage) -> tuple[Cage, tuple[Finding, ...]]:
    """As `taken_along`; mirrored bars that would no longer meet what was freed are freed too, and follow it."""
    freed: list[str] = []
    if not any(stopping(check_shape(bar)) for bar in (*bars_of(before).values(), *bars_of(after).values())):
        # each round can part bars that land on those that were freed in the round before
        while parted := follow(before, after).parted:
            freed += parted
            for name in parted:
                before, after = free_from_mirror(before, name), free_from_mirror(after, name)
    cage, told = taken_along(before, after)
    if not freed:
        return cage, told
    note = Finding(
        code="CAGE-024",
        severity=Severity.NOTE,
        sentence=f"Freed from their mirrors, since they land on a bar that was freed: {', '.join(freed)}.",
        todo="Look at their gaps with 'hoopwright check'; from now on each side is changed by itself.",
        objects=tuple(freed),
    )
    return cage, (note, *told)


def loosened(cage: Cage, bar_id: str | None) -> tuple[Finding, ...]:
    """Ends of or on a bar that no longer meet after it was changed."""
    if bar_id is None or any(stopping(check_shape(bar)) for bar in bars_of(cage).values()):
        return ()
    mirrors = {member.member_id for member in cage.members if member.mirror_of == bar_id}
    changed = {bar_id, *mirrors}
    return tuple(
        loose_end(end)
        for end in end_meetings(cage)
        if not end.meets and (end.bar_id in changed or end.on in changed)
    )
