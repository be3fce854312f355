"""Whether the die that a bar names is of its tube's size."""

from collections.abc import Mapping, Sequence

from hoopwright.bender.calibration import SAME_TUBE_MM
from hoopwright.cage import Cage, Member, bar_of
from hoopwright.findings import Finding, Verdict
from hoopwright.jobs.calibrations import kept_calibrations
from hoopwright.jobs.rows import CheckRow
from hoopwright.jobs.shop_at_hand import shop_at_hand
from hoopwright.store import ProjectFolder

_CHECK = "die is of the tube's size"
_ALIKE = "bent bars name a die of their tube's size"


def die_checks(
    folder: ProjectFolder, cage: Cage, members: Sequence[Member]
) -> tuple[list[CheckRow], list[Finding]]:
    """The outside diameter that each bent bar's die is for, against that of its tube; a straight bar needs no die.

    A die's size is that of the tubes whose sample bends the project keeps for it, else what the shop says of it. The
    name of a die is a word and says nothing.

    Raises:
        UserError: `CAL-...` for a file that cannot be read; `SHOP-...` where the shop is needed and cannot be read.
    """
    bent = [member for member in members if bar_of(cage, member.member_id).bend_count]
    sizes = _sizes(folder, {member.die for member in bent})
    rows, findings = [], []
    for member in bent:
        known = sizes.get(member.die, {})
        if any(_is_same(size, member.tube.od_mm) for size in known):
            rows.append(_row(member, Verdict.PASS, member.tube.od_mm, known))
        elif known:
            size = min(known, key=lambda one: abs(one - member.tube.od_mm))
            rows.append(_row(member, Verdict.FAIL, size, known))
            findings.append(_other_size(member, size, known[size]))
        else:
            others = _others_on(cage, member)
            rows.append(_row(member, Verdict.NOT_CHECKED, None, known, others))
            findings += [_two_on_one(member, others)] if others else []
    return rows, findings


def _sizes(folder: ProjectFolder, dies: set[str]) -> Mapping[str, dict[float, str]]:
    """Diameters that each die is known for, with who says so."""
    known: dict[str, dict[float, str]] = {}
    for calibration in kept_calibrations(folder):
        if calibration.die in dies:
            known.setdefault(calibration.die, {})[calibration.tube.od_mm] = "its sample bends in the project"
    if dies - known.keys():
        shop = shop_at_hand()
        for name in dies - known.keys():
            if name in shop.dies:
                known[name] = {shop.dies[name].od_mm: "the shop"}
    return known


def _is_same(size_mm: float, od_mm: float) -> bool:
    return abs(size_mm - od_mm) <= SAME_TUBE_MM


def _others_on(cage: Cage, member: Member) -> tuple[Member, ...]:
    """Bent bars of another diameter that name the same die."""
    return tuple(
        one
        for one in cage.members
        if one.die == member.die
        and not _is_same(one.tube.od_mm, member.tube.od_mm)
        and bar_of(cage, one.member_id).bend_count
    )


def _row(
    member: Member,
    verdict: Verdict,
    size_mm: float | None,
    known: Mapping[float, str],
    others: Sequence[Member] = (),
) -> CheckRow:
    name = f"die '{member.die}'"
    if size_mm is not None:
        where = f"{name}, as {known.get(size_mm) or next(iter(known.values()))} says"
    elif others:
        named = ", ".join(f"{one.member_id} of {one.tube.od_mm:g} mm" for one in others)
        where = f"nobody said what size {name} is for, and {named} names it too"
    else:
        where = f"nobody said what size {name} is for"
    return CheckRow(
        about=member.member_id,
        check=_CHECK,
        verdict=verdict,
        measured=member.tube.od_mm,
        limit=size_mm,
        unit="mm",
        where=where,
        alike=_ALIKE,
    )


def _other_size(member: Member, size_mm: float, who: str) -> Finding:
    return Finding(
        code="CHECK-011",
        sentence=f"Bar {member.member_id} is tube of {member.tube.od_mm:g} mm and names die '{member.die}', which is "
        f"for {size_mm:g} mm, as {who} says: it is not bent on that.",
        todo="Name the die that the bar is bent on, or give the bar the tube of this die: 'hoopwright bar tube'.",
        objects=(member.member_id, member.die),
        measured=member.tube.od_mm,
        limit=size_mm,
        unit="mm",
    )


def _two_on_one(member: Member, others: Sequence[Member]) -> Finding:
    named = ", ".join(f"{one.member_id} of {one.tube.od_mm:g} mm" for one in others)
    return Finding(
        code="CHECK-011",
        sentence=f"Bar {member.member_id} is tube of {member.tube.od_mm:g} mm and names die '{member.die}', and so "
        f"does {named}: a die bends one diameter, and nobody said which.",
        todo="Name the die that each bar is bent on: 'hoopwright bar tube'.",
        objects=(member.member_id, *(one.member_id for one in others)),
        measured=member.tube.od_mm,
        limit=others[0].tube.od_mm,
        unit="mm",
    )
