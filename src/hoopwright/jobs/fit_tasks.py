"""What a person asks of a bar to fit, turned into the task of the search."""

from dataclasses import dataclass, replace

from hoopwright.bars import Bar, Node
from hoopwright.cage import (
    Cage,
    End,
    Member,
    Role,
    bar_of,
    drawn_bar,
    padded_bodies,
)
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.fitting.bar_task import BarTask
from hoopwright.fitting.ends import end_at, is_symmetric, lean_of_deg, plane_through
from hoopwright.fitting.hoop import HoopPlane, hoop_start
from hoopwright.fitting.pillar_plane import PillarPlane
from hoopwright.jobs.shop_at_hand import clamp_for, shop_for_clamps
from hoopwright.shell.shell import Shell
from hoopwright.tubes import TubeSize

_PLANAR = (Role.MAIN_HOOP, Role.FRONT_HOOP)


@dataclass(frozen=True, kw_only=True)
class FitWishes:
    """What a person asks of a bar; what is None is taken from the bar that there is, or the project.

    Args:
        a_mm: Place of end A.
        b_mm: Place of end B; the mirror of A for a symmetric bar.
        end_a: What end A lands on.
        end_b: What end B lands on.
        role: What the bar is.
        tube: Its tube.
        die: Its die.
        clr_mm: Radius that it is drawn with.
        gap_mm: Gap to keep.
        clamp_mm: Straight that the clamp needs.
        via_mm: Places that it should pass near.
        lean_deg: Keep all bends in a plane square to the car's side, leaning rearward by this.
        at_pillar: Take the plane from the B-pillars as scanned.
        through_mm: Keep all bends in the plane through both ends and this place.
        symmetric: Whether it is its own mirror image.
        slide_a_mm: How far end A may slide both ways: along the bar it lands on, else across the car.
        slide_b_mm: The same for end B.
        least_bend_deg: Smallest bend worth making.
        greatest_bend_deg: Greatest bend of the die.
        may_reverse: Whether a bend may turn against the one before.
        seed: Of the search.
    """

    a_mm: Node | None = None
    b_mm: Node | None = None
    end_a: End | None = None
    end_b: End | None = None
    role: Role | None = None
    tube: TubeSize | None = None
    die: str | None = None
    clr_mm: float | None = None
    gap_mm: float | None = None
    clamp_mm: float | None = None
    via_mm: tuple[Node, ...] = ()
    lean_deg: float | None = None
    at_pillar: bool = False
    through_mm: Node | None = None
    symmetric: bool | None = None
    slide_a_mm: float = 0.0
    slide_b_mm: float = 0.0
    least_bend_deg: float = 3.0
    greatest_bend_deg: float = 120.0
    may_reverse: bool = False
    seed: int = 1


def member_to_fit(cage: Cage, bar_id: str, wishes: FitWishes) -> Member:
    """The bar as it is or as it is asked for, with the wishes laid over it."""
    if bar_id in cage:
        member = cage.member(bar_id)
        if member.mirror_of is not None:
            raise UserError(
                Finding(
                    code="FIT-035",
                    severity=Severity.STOP,
                    sentence=f"Bar '{bar_id}' is the mirror of '{member.mirror_of}' and has no nodes of its own.",
                    todo=f"Fit '{member.mirror_of}', or free '{bar_id}' from the mirror first.",
                    objects=(bar_id,),
                )
            )
    elif wishes.a_mm is None or (wishes.b_mm is None and not wishes.symmetric) or wishes.role is None:
        raise UserError(
            Finding(
                code="FIT-036",
                severity=Severity.STOP,
                sentence=f"There is no bar '{bar_id}' yet: a new one needs its role and both ends.",
                todo="Give --role, --from and --to; for a symmetric bar --from and --symmetric.",
                objects=(bar_id,),
            )
        )
    else:
        a = wishes.a_mm
        b = wishes.b_mm or (a[0], -a[1], a[2])
        member = Member(
            member_id=bar_id,
            role=wishes.role,
            nodes_mm=(a, b),
            tube=TubeSize(od_mm=45.0, wall_mm=2.5),
            die="45",
            clr_mm=137.5,
        )
    return replace(
        member,
        role=wishes.role or member.role,
        tube=wishes.tube or member.tube,
        die=wishes.die or member.die,
        clr_mm=member.clr_mm if wishes.clr_mm is None else wishes.clr_mm,
        end_a=wishes.end_a or member.end_a,
        end_b=wishes.end_b or member.end_b,
    )


def at_pillar(pillar: PillarPlane, member: Member, wishes: FitWishes) -> tuple[Member, FitWishes]:
    """The bar and the wishes with all places brought along the car into the pillars' plane."""

    def moved(place: Node) -> Node:
        return pillar.forward_at_mm(place[2]), place[1], place[2]

    return replace(member, nodes_mm=tuple(map(moved, member.nodes_mm))), replace(
        wishes,
        a_mm=None if wishes.a_mm is None else moved(wishes.a_mm),
        b_mm=None if wishes.b_mm is None else moved(wishes.b_mm),
        via_mm=tuple(map(moved, wishes.via_mm)),
        lean_deg=pillar.lean_deg,
    )


def task_to_fit(shell: Shell, cage: Cage, member: Member, wishes: FitWishes) -> BarTask:
    """The task of the search: ends, limits, plane, rough way and the room of the drivers.

    Raises:
        UserError: `FIT-033` for an end far from the bar that it lands on, `FIT-034` for a plane that is not given.
    """
    drawn = drawn_bar(member)
    symmetric = is_symmetric(drawn) if wishes.symmetric is None else wishes.symmetric
    a = wishes.a_mm or member.nodes_mm[0]
    b = wishes.b_mm or ((a[0], -a[1], a[2]) if symmetric else member.nodes_mm[-1])
    end_a, end_b = (
        end_at(place, end.landing_mm, slide, None if end.on is None else bar_of(cage, end.on))
        for place, end, slide in (
            (a, member.end_a, wishes.slide_a_mm),
            (b, member.end_b, wishes.slide_a_mm if symmetric else wishes.slide_b_mm),
        )
    )
    lean_deg = _lean_deg(member, drawn, wishes)
    upright = None if lean_deg is None else HoopPlane(foot_mm=end_a.place_mm, lean_deg=lean_deg)
    plane = None if upright is None else (upright.foot_mm, upright.normal)
    if wishes.through_mm is not None:
        plane = plane_through(end_a.place_mm, end_b.place_mm, wishes.through_mm)
    gap_mm = cage.limits.gap_mm if wishes.gap_mm is None else wishes.gap_mm
    room_mm = gap_mm + member.tube.od_mm / 2.0
    return BarTask(
        name=member.member_id,
        tube=member.tube,
        clr_mm=member.clr_mm,
        end_a=end_a,
        end_b=end_b,
        gap_mm=gap_mm,
        clamp_mm=_clamp_mm(cage, member, wishes),
        least_bend_deg=wishes.least_bend_deg,
        greatest_bend_deg=wishes.greatest_bend_deg,
        may_reverse=wishes.may_reverse,
        rough_mm=wishes.via_mm or _way(shell, drawn, member, upright, room_mm),
        plane=plane,
        symmetric=symmetric,
        keep_clear=padded_bodies(cage.drivers),
    )


def _clamp_mm(cage: Cage, member: Member, wishes: FitWishes) -> float:
    if wishes.clamp_mm is not None:
        return wishes.clamp_mm
    return clamp_for(cage.limits, member, shop_for_clamps(cage.limits))


def _lean_deg(member: Member, drawn: Bar, wishes: FitWishes) -> float | None:
    """Lean of the plane that the bar keeps to, or None for a bar that goes any way."""
    if wishes.lean_deg is not None or member.role not in _PLANAR:
        return wishes.lean_deg
    return lean_of_deg(drawn) if drawn.bend_count else 0.0


def _way(
    shell: Shell, drawn: Bar, member: Member, upright: HoopPlane | None, room_mm: float
) -> tuple[Node, ...]:
    """Places to pass near: the bar's own nodes, or up and over for a hoop; none to look for a way."""
    if drawn.bend_count:
        return drawn.nodes_mm[1:-1]
    if upright is None or member.role not in _PLANAR:
        return ()
    start = hoop_start(
        shell, upright, tube=member.tube, clr_mm=member.clr_mm, room_mm=room_mm, name=member.member_id
    )
    return start.nodes_mm[1:-1]
