"""Edits of what a bar is made of and what its ends land on; its mirror is changed with it."""

from dataclasses import replace

from hoopwright.cage.cage import Cage
from hoopwright.cage.edits import replace_member
from hoopwright.cage.landing import EndLetter
from hoopwright.cage.member import End, Member
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.tubes import TubeSize

LONGEST_MM = 1000.0
"""Longest trim or landing that is taken for meant; our own limit."""


def put_tube(cage: Cage, member_id: str, *, tube: TubeSize, die: str, clr_mm: float) -> Cage:
    """Another tube, die or radius for a bar and its mirror.

    Raises:
        UserError: `CAGE-001`.
    """
    for member in _pair(cage, member_id):
        cage = replace_member(cage, replace(member, tube=tube, die=die, clr_mm=clr_mm))
    return cage


def put_end(cage: Cage, member_id: str, letter: EndLetter, end: End) -> Cage:
    """What an end lands on, its trim and its landing; the mirror's end lands on the other side's bar.

    Raises:
        UserError: `CAGE-001`, `CAGE-003`; `CAGE-026` for a trim or landing that cannot be.
    """
    for name, value in (("trim", end.trim_mm), ("landing", end.landing_mm)):
        if not 0.0 <= value <= LONGEST_MM:
            raise UserError(
                Finding(
                    code="CAGE-026",
                    severity=Severity.STOP,
                    sentence=f"End {letter} of bar '{member_id}' cannot have a {name} of {value:g} mm.",
                    todo=f"Type 0 to {LONGEST_MM:g} mm; lengths are in mm unless a unit is typed.",
                    objects=(member_id,),
                    measured=value,
                    limit=LONGEST_MM,
                    unit="mm",
                )
            )
    own, *mirrors = _pair(cage, member_id)
    cage = replace_member(cage, _with_end(own, letter, end))
    for mirror in mirrors:
        cage = replace_member(cage, _with_end(mirror, letter, replace(end, on=_across(cage, end.on))))
    return cage


def _with_end(member: Member, letter: EndLetter, end: End) -> Member:
    return replace(member, end_a=end) if letter == "A" else replace(member, end_b=end)


def _pair(cage: Cage, member_id: str) -> tuple[Member, ...]:
    """A member, and the one that mirrors it or that it mirrors."""
    member = cage.member(member_id)
    others = [
        other for other in cage.members if other.mirror_of == member_id or other.member_id == member.mirror_of
    ]
    return (member, *others)


def _across(cage: Cage, member_id: str | None) -> str | None:
    """The bar of the other side, or the same where it spans both."""
    if member_id is None:
        return None
    member = cage.member(member_id)
    if member.mirror_of is not None:
        return member.mirror_of
    return next((one.member_id for one in cage.members if one.mirror_of == member_id), member_id)
