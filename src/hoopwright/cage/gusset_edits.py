"""Edits of gussets and ties: each takes a cage and returns another."""

from dataclasses import replace

from hoopwright.cage.cage import Cage
from hoopwright.cage.landing import Gusset
from hoopwright.findings import Finding, Severity, UserError


def add_gusset(cage: Cage, gusset: Gusset) -> Cage:
    """The cage with one more gusset.

    Raises:
        UserError: `CAGE-001` without one of its bars; `GUSSET-008` for a name that is taken; `GUSSET-011` for none.
    """
    cage.member(gusset.bar_id)
    if gusset.other is not None:
        cage.member(gusset.other)
    if not gusset.name.strip():
        raise UserError(
            Finding(
                code="GUSSET-011",
                severity=Severity.STOP,
                sentence=f"The new gusset at {gusset.bar_id} has no name.",
                todo="Type one, such as G1; it stands on the drawing and on the part.",
                objects=(gusset.bar_id,),
            )
        )
    if any(one.name == gusset.name for one in cage.gussets):
        raise UserError(
            Finding(
                code="GUSSET-008",
                severity=Severity.STOP,
                sentence=f"There is a gusset '{gusset.name}' already.",
                todo="Choose another name, or remove that one first.",
                objects=(gusset.name,),
            )
        )
    return replace(cage, gussets=(*cage.gussets, gusset))


def remove_gusset(cage: Cage, name: str) -> Cage:
    """The cage without one gusset.

    Raises:
        UserError: `GUSSET-009` when there is none of that name.
    """
    kept = tuple(one for one in cage.gussets if one.name != name)
    if len(kept) == len(cage.gussets):
        known = ", ".join(one.name for one in cage.gussets) or "none yet"
        raise UserError(
            Finding(
                code="GUSSET-009",
                severity=Severity.STOP,
                sentence=f"There is no gusset '{name}'.",
                todo=f"The gussets are: {known}.",
                objects=(name,),
            )
        )
    return replace(cage, gussets=kept)


def on_other_side(cage: Cage, gusset: Gusset, name: str) -> Gusset:
    """The same gusset on the other side of the car, between the bars of that side."""
    forward, left, up = gusset.place_mm
    return replace(
        gusset,
        name=name,
        bar_id=_twin(cage, gusset.bar_id),
        other=None if gusset.other is None else _twin(cage, gusset.other),
        place_mm=(forward, -left, up),
    )


def _twin(cage: Cage, member_id: str) -> str:
    """The bar that mirrors another, or that it mirrors; the bar itself where it spans both sides."""
    source = cage.member(member_id).mirror_of
    mirrors = [one.member_id for one in cage.members if one.mirror_of == member_id]
    return source or (mirrors[0] if mirrors else member_id)
