"""Edits: each takes a cage and returns another. Undo keeps the cages (see `store.history`)."""

from dataclasses import replace

from hoopwright.bars import Node
from hoopwright.cage.cage import Cage
from hoopwright.cage.member import Member
from hoopwright.findings import Finding, Severity, UserError


def add_member(cage: Cage, member: Member) -> Cage:
    """The cage with one more member.

    Raises:
        UserError: `CAGE-002` when the name is taken, `CAGE-009` when it is none, `CAGE-003` when the member mirrors or
            ends on one that is not there.
    """
    if member.member_id in cage:
        raise _refuse(
            "CAGE-002",
            f"There is a bar '{member.member_id}' already.",
            "Take another name, or remove that bar first.",
            member.member_id,
        )
    if not _is_name(member.member_id):
        raise _refuse(
            "CAGE-009",
            f"'{member.member_id}' is no name for a bar.",
            "Use up to 12 letters, digits and dashes, such as SB-L.",
            member.member_id,
        )
    _check_links(cage, member)
    return replace(cage, members=(*cage.members, member))


def replace_member(cage: Cage, member: Member) -> Cage:
    """The cage with a member of the same name in place of the old one.

    Raises:
        UserError: `CAGE-001`, `CAGE-003`.
    """
    cage.member(member.member_id)
    _check_links(cage, member)
    members = tuple(member if old.member_id == member.member_id else old for old in cage.members)
    return replace(cage, members=members)


def remove_member(cage: Cage, member_id: str) -> Cage:
    """The cage without a member and what is made for it.

    Raises:
        UserError: `CAGE-001`; `CAGE-004` when another member ends on it or mirrors it.
    """
    cage.member(member_id)
    hanging = [
        other.member_id
        for other in cage.members
        if member_id in (other.mirror_of, other.end_a.on, other.end_b.on) and other.member_id != member_id
    ]
    if hanging:
        raise _refuse(
            "CAGE-004",
            f"Bar '{member_id}' cannot be removed: {', '.join(hanging)} end on it or mirror it.",
            "Remove those first.",
            member_id,
            *hanging,
        )
    return replace(
        cage,
        members=tuple(m for m in cage.members if m.member_id != member_id),
        holes=tuple(hole for hole in cage.holes if hole.bar_id != member_id),
        landings=tuple(landing for landing in cage.landings if landing.bar_id != member_id),
        gussets=tuple(g for g in cage.gussets if member_id not in (g.bar_id, g.other)),
        order=tuple(name for name in cage.order if name != member_id),
    )


def move_node(cage: Cage, member_id: str, number: int, place_mm: Node) -> Cage:
    """Move one node, counted from 1 at end A.

    Raises:
        UserError: `CAGE-001`; `CAGE-005` without such a node; `CAGE-006` on a mirrored member.
    """
    member = _own_nodes(cage, member_id)
    _check_number(member, number)
    nodes = list(member.nodes_mm)
    nodes[number - 1] = place_mm
    return replace_member(cage, replace(member, nodes_mm=tuple(nodes), fit=None))


def add_node(cage: Cage, member_id: str, after: int, place_mm: Node) -> Cage:
    """Add a node after the given one: one more bend.

    Raises:
        UserError: `CAGE-001`, `CAGE-005`, `CAGE-006`.
    """
    member = _own_nodes(cage, member_id)
    _check_number(member, after)
    nodes = (*member.nodes_mm[:after], place_mm, *member.nodes_mm[after:])
    return replace_member(cage, replace(member, nodes_mm=nodes, fit=None))


def remove_node(cage: Cage, member_id: str, number: int) -> Cage:
    """Take a node out: one bend less.

    Raises:
        UserError: `CAGE-001`, `CAGE-005` (also when only the two ends are left), `CAGE-006`.
    """
    member = _own_nodes(cage, member_id)
    _check_number(member, number)
    if len(member.nodes_mm) <= 2:
        raise _refuse("CAGE-005", f"Bar '{member_id}' has only its two ends.", "Remove the bar.", member_id)
    nodes = (*member.nodes_mm[: number - 1], *member.nodes_mm[number:])
    return replace_member(cage, replace(member, nodes_mm=nodes, fit=None))


def mirror_member(cage: Cage, member_id: str, new_id: str) -> Cage:
    """Add the bar of the other side: same lengths and angles, every rotation with the other sign.

    Raises:
        UserError: `CAGE-001`, `CAGE-002`; `CAGE-006` when the member is itself a mirror.
    """
    member = _own_nodes(cage, member_id)
    other = replace(
        member,
        member_id=new_id,
        nodes_mm=(),
        fit=None,
        mirror_of=member_id,
        end_a=replace(member.end_a, on=_other_side(cage, member.end_a.on)),
        end_b=replace(member.end_b, on=_other_side(cage, member.end_b.on)),
    )
    return add_member(cage, other)


def free_from_mirror(cage: Cage, member_id: str) -> Cage:
    """Give a mirrored member nodes, holes and landings of its own, where they are now.

    Raises:
        UserError: `CAGE-001`; `CAGE-006` when it does not mirror anything.
    """
    member = cage.member(member_id)
    if member.mirror_of is None:
        raise _refuse(
            "CAGE-006", f"Bar '{member_id}' mirrors nothing.", "Move its nodes as they are.", member_id
        )
    nodes = tuple((f, -left, u) for f, left, u in cage.member(member.mirror_of).nodes_mm)
    holes = tuple(
        replace(hole, bar_id=member_id, place_mm=(hole.place_mm[0], -hole.place_mm[1], hole.place_mm[2]))
        for hole in cage.holes
        if hole.bar_id == member.mirror_of
    )
    landings = tuple(
        replace(landing, bar_id=member_id, turn_deg=-landing.turn_deg)
        for landing in cage.landings
        if landing.bar_id == member.mirror_of
    )
    freed = replace_member(cage, replace(member, nodes_mm=nodes, mirror_of=None))
    return replace(freed, holes=(*freed.holes, *holes), landings=(*freed.landings, *landings))


def _other_side(cage: Cage, member_id: str | None) -> str | None:
    """The mirror of the member that an end lands on, or the member itself when it spans both sides."""
    if member_id is None:
        return None
    mirrors = [other.member_id for other in cage.members if other.mirror_of == member_id]
    return mirrors[0] if mirrors else member_id


def _own_nodes(cage: Cage, member_id: str) -> Member:
    member = cage.member(member_id)
    if member.mirror_of is not None:
        raise _refuse(
            "CAGE-006",
            f"Bar '{member_id}' is the mirror of '{member.mirror_of}' and has no nodes of its own.",
            f"Change '{member.mirror_of}', or free '{member_id}' from the mirror first.",
            member_id,
        )
    return member


def _check_number(member: Member, number: int) -> None:
    if not 1 <= number <= len(member.nodes_mm):
        raise _refuse(
            "CAGE-005",
            f"Bar '{member.member_id}' has no node {number}; it has {len(member.nodes_mm)}.",
            "Count from 1 at end A.",
            member.member_id,
        )


def _check_links(cage: Cage, member: Member) -> None:
    links = [on for on in (member.mirror_of, member.end_a.on, member.end_b.on) if on is not None]
    missing = [on for on in links if on not in cage or on == member.member_id]
    source = None if member.mirror_of is None or missing else cage.member(member.mirror_of)
    is_source = any(other.mirror_of == member.member_id for other in cage.members)
    if missing or (source is not None and (source.mirror_of is not None or is_source)):
        raise _refuse(
            "CAGE-003",
            f"Bar '{member.member_id}' hangs on {', '.join(missing) or member.mirror_of}, which is not "
            "there, is itself, or mirrors another bar; nor can a bar that is mirrored be a mirror.",
            "Add that bar first, or name another.",
            member.member_id,
        )


def _is_name(text: str) -> bool:
    return 0 < len(text) <= 12 and text.replace("-", "").isalnum() and text.isascii()


def _refuse(code: str, sentence: str, todo: str, *objects: str) -> UserError:
    return UserError(
        Finding(code=code, severity=Severity.STOP, sentence=sentence, todo=todo, objects=objects)
    )
