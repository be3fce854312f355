"""A first cage from a handful of landmarks: every bar inside the shell at a stated gap, and bendable."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from hoopwright.bars import Bar, Node
from hoopwright.cage import (
    JOINT_LANDING_MM,
    SHELL_LANDING_MM,
    Cage,
    End,
    Limits,
    Member,
    Role,
    add_member,
    mirror_member,
)
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.fitting.hoop import HoopPlane, hoop_slides, hoop_start
from hoopwright.fitting.joints_on import crossing, on_leg, top_end
from hoopwright.fitting.placing import Placed, place_bar
from hoopwright.fitting.pull import Slide
from hoopwright.geometry import Vector, unit_vector
from hoopwright.progress import Progress, silent
from hoopwright.shell.shell import Shell
from hoopwright.tubes import TubeSize

LANDMARKS = ("hoop_foot", "front_foot", "screen_corner", "backstay_foot")
_FOOT_TRIM_MM = 30.0
_COPE_TRIM_MM = 15.0


@dataclass(frozen=True, kw_only=True)
class LayoutWishes:
    """What the person wants of the first cage.

    Args:
        lean_deg: Lean of the main hoop, top rearward positive.
        limits: Gap and clamp.
        hoop_tube: Tube of the main hoop and the side bars.
        hoop_die: Die for it.
        hoop_clr_mm: Radius that it is drawn with.
        brace_tube: Tube of all other bars.
        brace_die: Die for it.
        brace_clr_mm: Radius that it is drawn with.
        harness_share: Height of the harness bar as a share of the hoop's height.
    """

    lean_deg: float = 0.0
    limits: Limits = field(default_factory=Limits)
    hoop_tube: TubeSize = field(default_factory=lambda: TubeSize(od_mm=45.0, wall_mm=2.5))
    hoop_die: str = "45"
    hoop_clr_mm: float = 137.5
    brace_tube: TubeSize = field(default_factory=lambda: TubeSize(od_mm=38.0, wall_mm=2.5))
    brace_die: str = "38"
    brace_clr_mm: float = 115.0
    harness_share: float = 0.62


@dataclass(frozen=True, kw_only=True)
class FirstLayout:
    """A first cage.

    Args:
        cage: The cage.
        findings: Bars that do not hold what was asked, with place and number.
    """

    cage: Cage
    findings: tuple[Finding, ...]


def lay_out_cage(
    shell: Shell, landmarks: Mapping[str, Node], wishes: LayoutWishes, *, progress: Progress = silent
) -> FirstLayout:
    """Main hoop, side bars, screen bar, backstays, hoop diagonal, harness bar and two door bars a side.

    Args:
        shell: The scan in the vehicle frame.
        landmarks: Places of the left side: hoop_foot, front_foot, screen_corner, backstay_foot.
        wishes: What the person wants.
        progress: Told how far it is.

    Raises:
        UserError: `FIT-003` when a landmark is missing, `FIT-002` when there is no roof over the hoop.
    """
    builder = _Builder(shell, _left_places(landmarks), wishes)
    steps = (
        builder.main_hoop, builder.side_bars, builder.screen_bar, builder.backstays,
        builder.hoop_diagonal, builder.harness_bar, builder.door_bars,
    )  # fmt: skip
    for number, step in enumerate(steps):
        progress(f"placing the {step.__name__.replace('_', ' ')}", number / len(steps))
        step()
    progress("first cage placed", 1.0)
    return FirstLayout(cage=builder.cage, findings=tuple(builder.findings))


def _left_places(landmarks: Mapping[str, Node]) -> dict[str, Vector]:
    missing = [name for name in LANDMARKS if name not in landmarks]
    if missing:
        raise UserError(
            Finding(
                code="FIT-003",
                severity=Severity.STOP,
                sentence=f"The first cage needs the landmark {', '.join(missing)}.",
                todo=f"Give the left-hand places {', '.join(LANDMARKS)} as forward, left, up.",
                objects=tuple(missing),
            )
        )
    places = {name: np.array(landmarks[name], dtype=np.float64) for name in LANDMARKS}
    return {name: np.array([place[0], abs(place[1]), place[2]]) for name, place in places.items()}


class _Builder:
    """Places one kind of bar after the other; later ones hang on earlier ones."""

    def __init__(self, shell: Shell, places: dict[str, Vector], wishes: LayoutWishes) -> None:
        self.shell, self.places, self.wishes = shell, places, wishes
        self.limits = wishes.limits
        left_places = {name: (float(p[0]), float(p[1]), float(p[2])) for name, p in places.items()}
        self.cage = Cage(landmarks=left_places, limits=wishes.limits)
        self.findings: list[Finding] = []
        self.hoop = self.side = self.diagonal = Bar(name="", nodes_mm=(), clr_mm=1.0, tube=wishes.hoop_tube)

    def main_hoop(self) -> None:
        wishes, foot = self.wishes, self.places["hoop_foot"]
        plane = HoopPlane(foot_mm=(float(foot[0]), float(foot[1]), float(foot[2])), lean_deg=wishes.lean_deg)
        room = self.limits.gap_mm + wishes.hoop_tube.od_mm / 2.0
        start = hoop_start(
            self.shell, plane, tube=wishes.hoop_tube, clr_mm=wishes.hoop_clr_mm, room_mm=room, name="MH"
        )
        placed = self._place(
            start, hoop_slides(plane), (SHELL_LANDING_MM, SHELL_LANDING_MM), both_sides=False
        )
        self.hoop = placed.bar
        foot_end = End(kind="shell", trim_mm=_FOOT_TRIM_MM, landing_mm=SHELL_LANDING_MM)
        self._add("MH", Role.MAIN_HOOP, placed.bar, foot_end, foot_end)

    def side_bars(self) -> None:
        foot, corner = self.places["front_foot"], self.places["screen_corner"]
        end, along_top = top_end(self.hoop)
        room = np.array([0.0, 70.0, 70.0])
        top = corner - room
        bend = np.array(
            [foot[0] + 0.15 * (top[0] - foot[0]), foot[1] - 15.0, foot[2] + 0.47 * (top[2] - foot[2])]
        )
        start = self._bar("SB-L", [foot, bend, top, end], is_hoop=True)
        slides = [
            *(_one(4, 1, axis) for axis in range(3)),
            *(_one(4, 2, axis) for axis in range(3)),
            _one(4, 0, 1, reach=30.0),
            _one(4, 0, 0, reach=30.0),
            Slide(directions=_moves(4, {3: along_top}), low_mm=0.0, high_mm=80.0),
        ]
        placed = self._place(start, slides, (SHELL_LANDING_MM, JOINT_LANDING_MM), both_sides=True)
        self.side = placed.bar
        self._add_pair(
            "SB",
            Role.SIDE_BAR,
            placed.bar,
            End(kind="shell", trim_mm=_FOOT_TRIM_MM, landing_mm=SHELL_LANDING_MM),
            End(kind="bar", on="MH", trim_mm=_COPE_TRIM_MM, landing_mm=JOINT_LANDING_MM),
        )

    def screen_bar(self) -> None:
        nodes = self.side.nodes
        back = unit_vector(nodes[3] - nodes[2])
        at = nodes[2] + (self._setback(self.side, 2) + 30.0) * back
        slide = Slide(directions=_moves(2, {0: back, 1: back * [1.0, -1.0, 1.0]}), low_mm=0.0, high_mm=250.0)
        self._straight("SC", Role.SCREEN_BAR, at, at * [1.0, -1.0, 1.0], [slide], ("SB-L", "SB-R"))

    def backstays(self) -> None:
        end, along_top = top_end(self.hoop)
        foot = self.places["backstay_foot"]
        start = self._bar("BS-L", [end + 60.0 * along_top, foot])
        slides = [
            Slide(directions=_moves(2, {0: along_top}), low_mm=-60.0, high_mm=200.0),
        ]
        placed = self._place(start, slides, (JOINT_LANDING_MM, SHELL_LANDING_MM), both_sides=True)
        self._add_pair(
            "BS",
            Role.BACKSTAY,
            placed.bar,
            End(kind="bar", on="MH", trim_mm=_COPE_TRIM_MM, landing_mm=JOINT_LANDING_MM),
            End(kind="shell", trim_mm=_FOOT_TRIM_MM, landing_mm=SHELL_LANDING_MM),
        )

    def hoop_diagonal(self) -> None:
        end, along_top = top_end(self.hoop)
        mirror = np.array([1.0, -1.0, 1.0])
        foot, up_leg = on_leg(self.hoop, 0, 80.0)
        slides = [
            Slide(directions=_moves(2, {0: along_top * mirror}), low_mm=0.0, high_mm=120.0),
            Slide(directions=_moves(2, {1: up_leg}), low_mm=0.0, high_mm=150.0),
        ]
        self.diagonal = self._straight("HD", Role.HOOP_DIAGONAL, end * mirror, foot, slides, ("MH", "MH"))

    def harness_bar(self) -> None:
        """Two halves: the hoop diagonal runs through in one piece, and the harness bar is cut to it."""
        rise = self.hoop.nodes[2, 2] - self.hoop.nodes[0, 2]
        at, up_leg = self._on_hoop_leg(self.hoop.nodes[0, 2] + self.wishes.harness_share * rise)
        mirror = np.array([1.0, -1.0, 1.0])
        slide = Slide(directions=_moves(2, {0: up_leg, 1: up_leg * mirror}), low_mm=-80.0, high_mm=80.0)
        whole = self._place(
            self._bar("HB", [at, at * mirror]),
            [slide],
            (JOINT_LANDING_MM, JOINT_LANDING_MM),
            both_sides=False,
        )
        left, right = whole.bar.nodes
        middle = crossing(left, right, self.diagonal.nodes[0], self.diagonal.nodes[-1])
        for name, leg in (("HB-L", left), ("HB-R", right)):
            ends = [
                End(kind="bar", on=on, trim_mm=_COPE_TRIM_MM, landing_mm=JOINT_LANDING_MM)
                for on in ("MH", "HD")
            ]
            self._add(name, Role.HARNESS_BAR, self._bar(name, [leg, middle]), *ends)

    def door_bars(self) -> None:
        floor = self.hoop.nodes[0, 2]
        for number, (at_hoop, at_front) in enumerate(((430.0, 400.0), (180.0, 220.0)), start=1):
            rear, up_rear = self._on_hoop_leg(floor + at_hoop)
            front, up_front = on_leg(self.side, 0, at_front)
            name = f"DB{number}"
            start = self._bar(f"{name}-L", [front, rear])
            slides = [
                Slide(directions=_moves(2, {0: up_front}), low_mm=-100.0, high_mm=100.0),
                Slide(directions=_moves(2, {1: up_rear}), low_mm=-100.0, high_mm=100.0),
            ]
            placed = self._place(start, slides, (JOINT_LANDING_MM, JOINT_LANDING_MM), both_sides=True)
            ends = [
                End(kind="bar", on=on, trim_mm=_COPE_TRIM_MM, landing_mm=JOINT_LANDING_MM)
                for on in ("SB-L", "MH")
            ]
            self._add_pair(name, Role.DOOR_BAR, placed.bar, *ends)

    def _on_hoop_leg(self, up_mm: float) -> tuple[Vector, Vector]:
        """A place on the hoop's left leg at a height, kept off its bends."""
        nodes = self.hoop.nodes
        setbacks = [0.0, self._setback(self.hoop, 1), self._setback(self.hoop, 2)]
        leg = 0 if up_mm < nodes[1, 2] else 1
        direction = unit_vector(nodes[leg + 1] - nodes[leg])
        length = float(np.linalg.norm(nodes[leg + 1] - nodes[leg]))
        wanted = (up_mm - nodes[leg, 2]) / direction[2]
        low, high = setbacks[leg] + 30.0, length - setbacks[leg + 1] - 30.0
        return nodes[leg] + float(np.clip(wanted, low, max(low, high))) * direction, direction

    @staticmethod
    def _setback(bar: Bar, index: int) -> float:
        """Distance from a node to the start of its bend."""
        nodes = bar.nodes
        before, after = (
            unit_vector(nodes[index] - nodes[index - 1]),
            unit_vector(nodes[index + 1] - nodes[index]),
        )
        return bar.clr_mm * float(np.tan(np.arccos(np.clip(before @ after, -1.0, 1.0)) / 2.0))

    def _straight(
        self, name: str, role: Role, a: Vector, b: Vector, slides: list[Slide], on: tuple[str, str]
    ) -> Bar:
        placed = self._place(
            self._bar(name, [a, b]), slides, (JOINT_LANDING_MM, JOINT_LANDING_MM), both_sides=False
        )
        ends = [End(kind="bar", on=one, trim_mm=_COPE_TRIM_MM, landing_mm=JOINT_LANDING_MM) for one in on]
        self._add(name, role, placed.bar, *ends)
        return placed.bar

    def _bar(self, name: str, nodes: list[Vector], *, is_hoop: bool = False) -> Bar:
        wishes = self.wishes
        tube, clr = (
            (wishes.hoop_tube, wishes.hoop_clr_mm) if is_hoop else (wishes.brace_tube, wishes.brace_clr_mm)
        )
        return Bar(name=name, nodes_mm=(), clr_mm=clr, tube=tube).with_nodes(np.array(nodes))

    def _place(
        self,
        bar: Bar,
        slides: list[Slide] | tuple[Slide, ...],
        landings: tuple[float, float],
        *,
        both_sides: bool,
    ) -> Placed:
        placed = place_bar(
            self.shell,
            bar,
            slides,
            gap_mm=self.limits.gap_mm,
            clamp_mm=self.limits.clamp_mm,
            landing_a_mm=landings[0],
            landing_b_mm=landings[1],
            both_sides=both_sides,
        )
        self.findings.extend(placed.findings)
        return placed

    def _add(self, name: str, role: Role, bar: Bar, end_a: End, end_b: End) -> None:
        is_hoop = bar.tube == self.wishes.hoop_tube
        self.cage = add_member(
            self.cage,
            Member(
                member_id=name,
                role=role,
                nodes_mm=bar.nodes_mm,
                tube=bar.tube,
                die=self.wishes.hoop_die if is_hoop else self.wishes.brace_die,
                clr_mm=bar.clr_mm,
                end_a=end_a,
                end_b=end_b,
            ),
        )

    def _add_pair(self, name: str, role: Role, bar: Bar, end_a: End, end_b: End) -> None:
        self._add(f"{name}-L", role, bar, end_a, end_b)
        self.cage = mirror_member(self.cage, f"{name}-L", f"{name}-R")


def _moves(count: int, by_node: dict[int, Vector]) -> tuple[tuple[float, float, float], ...]:
    rows = np.zeros((count, 3))
    for index, direction in by_node.items():
        rows[index] = direction
    return tuple((float(f), float(le), float(u)) for f, le, u in rows)


def _one(count: int, index: int, axis: int, reach: float = 300.0) -> Slide:
    return Slide(directions=_moves(count, {index: np.eye(3)[axis]}), low_mm=-reach, high_mm=reach)
