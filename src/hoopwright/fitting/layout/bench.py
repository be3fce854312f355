"""The bench on which a first cage is put together: it makes, places and adds one bar at a time."""

from collections.abc import Sequence

import numpy as np

from hoopwright.bars import Bar, centreline
from hoopwright.cage import (
    JOINT_LANDING_MM,
    SHELL_LANDING_MM,
    Cage,
    Driver,
    End,
    Hole,
    Member,
    Role,
    add_hole,
    add_member,
    mirror_member,
    padded_bodies,
)
from hoopwright.findings import Finding
from hoopwright.fitting.layout.wishes import LayoutWishes
from hoopwright.fitting.placing import Placed, place_bar
from hoopwright.fitting.polish import SAMPLES
from hoopwright.fitting.pull import Slide
from hoopwright.geometry import Vector
from hoopwright.shell.clearance import judged_stretch
from hoopwright.shell.shell import Shell

MIRROR = np.array([1.0, -1.0, 1.0])
_FOOT_TRIM_MM = 30.0
_COPE_TRIM_MM = 15.0
ON_SHELL = End(kind="shell", trim_mm=_FOOT_TRIM_MM, landing_mm=SHELL_LANDING_MM)


def on(member_id: str) -> End:
    """An end that is coped to a bar."""
    return End(kind="bar", on=member_id, trim_mm=_COPE_TRIM_MM, landing_mm=JOINT_LANDING_MM)


class Bench:
    """The cage so far, with the bars that later ones hang on.

    Args:
        shell: The scan in the vehicle frame.
        places: Landmarks of the left side.
        wishes: What the person wants.
        drivers: Who drives, as measured; bars keep clear of them with their padding.
    """

    def __init__(
        self,
        shell: Shell,
        places: dict[str, Vector],
        wishes: LayoutWishes,
        drivers: tuple[Driver, ...] = (),
    ) -> None:
        self.shell, self.places, self.wishes = shell, places, wishes
        left_places = {name: (float(p[0]), float(p[1]), float(p[2])) for name, p in places.items()}
        self.cage = Cage(landmarks=left_places, limits=wishes.limits, drivers=drivers)
        self.keep_clear = padded_bodies(drivers)
        self.findings: list[Finding] = []
        self.bars: dict[str, Bar] = {}

    def bar(self, name: str, nodes: Sequence[Vector], *, is_hoop: bool = False) -> Bar:
        """A bar of the tube for the hoop or for the braces."""
        wishes = self.wishes
        tube, clr = (
            (wishes.hoop_tube, wishes.hoop_clr_mm) if is_hoop else (wishes.brace_tube, wishes.brace_clr_mm)
        )
        return Bar(name=name, nodes_mm=(), clr_mm=clr, tube=tube).with_nodes(np.array(nodes))

    def placed(
        self, bar: Bar, slides: Sequence[Slide], ends: tuple[End, End], *, both_sides: bool = False
    ) -> Placed:
        """A bar pulled along its slides; what does not hold is not yet told."""
        return place_bar(
            self.shell,
            bar,
            slides,
            gap_mm=self.wishes.limits.gap_mm,
            clamp_mm=self.wishes.limits.clamp_mm,
            landing_a_mm=ends[0].landing_mm,
            landing_b_mm=ends[1].landing_mm,
            both_sides=both_sides,
            keep_clear=self.keep_clear,
        )

    def add(self, name: str, role: Role, bar: Bar, ends: tuple[End, End]) -> None:
        """Put a bar into the cage."""
        is_hoop = bar.tube == self.wishes.hoop_tube and bar.clr_mm == self.wishes.hoop_clr_mm
        self.bars[name] = bar
        self.cage = add_member(
            self.cage,
            Member(
                member_id=name,
                role=role,
                nodes_mm=bar.nodes_mm,
                tube=bar.tube,
                die=self.wishes.hoop_die if is_hoop else self.wishes.brace_die,
                clr_mm=bar.clr_mm,
                end_a=ends[0],
                end_b=ends[1],
            ),
        )

    def add_pair(self, name: str, role: Role, bar: Bar, ends: tuple[End, End]) -> None:
        """Put a left bar and its mirror image into the cage."""
        self.add(f"{name}-L", role, bar, ends)
        self.cage = mirror_member(self.cage, f"{name}-L", f"{name}-R")

    def add_holes(self, holes: Sequence[Hole]) -> None:
        """Put the holes of bars that are in the cage into it."""
        for hole in holes:
            self.cage = add_hole(self.cage, hole)

    def lay(
        self,
        name: str,
        role: Role,
        starts: Sequence[tuple[Bar, Sequence[Slide]]],
        ends: tuple[End, End],
        *,
        pair: bool = False,
        both_sides: bool = False,
        closest: bool = False,
    ) -> Bar:
        """Place a bar from the first start that holds, else from the one that comes nearest, and add it.

        With `closest`, from the start of all that hold that leaves the least mean gap to the shell.

        Args:
            name: Its name, without side for a pair.
            role: What it is.
            starts: Where to start from, the wanted place first, each with its slides.
            ends: What its ends land on.
            pair: Whether its mirror image goes in too.
            both_sides: Whether the mirror image is to be held against its own side though it is not added.
            closest: Whether all starts are tried and those that hold are judged by their mean gap.
        """
        best: Placed | None = None
        for bar, slides in starts:
            one = self.placed(bar, slides, ends, both_sides=pair or both_sides)
            if (
                best is None
                or shortfall(one) < shortfall(best)
                or (closest and one.holds and self._mean_gap_mm(one, ends) < self._mean_gap_mm(best, ends))
            ):
                best = one
            if one.holds and not closest:
                break
        assert best is not None  # noqa: S101 - there is always a start
        self.findings.extend(best.findings)
        (self.add_pair if pair else self.add)(name, role, best.bar, ends)
        return best.bar

    def _mean_gap_mm(self, placed: Placed, ends: tuple[End, End]) -> float:
        """Mean gap of a bar to the shell between its landings."""
        path = centreline(placed.bar)
        along = np.linspace(*judged_stretch(path, [end.landing_mm for end in ends]), SAMPLES)
        return float(self.shell.nearest(path.at(along)).distance_mm.mean()) - placed.bar.tube.od_mm / 2.0


def shortfall(placed: Placed) -> float:
    """How far a bar is from holding: 0 when it does."""
    short = [f.limit - f.measured for f in placed.findings if f.limit is not None and f.measured is not None]
    return placed.into_driver_mm + sum(short) + 1000.0 * (len(placed.findings) - len(short))
