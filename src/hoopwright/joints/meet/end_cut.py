"""The cut of one end of a bar where it meets other bars: what papers, solids and the weld plan are made from."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import Node
from hoopwright.cage import EndLetter
from hoopwright.findings import Finding
from hoopwright.geometry import Points, Vector
from hoopwright.joints.cope import Branch, CopeProfile, Header
from hoopwright.joints.meet.tips import Tip
from hoopwright.joints.wrap import Wrap


@dataclass(frozen=True, kw_only=True)
class MetHeader:
    """A bar that an end is cut to.

    Args:
        bar_id: The bar.
        is_main: Whether the end lands on it; False for a bar that the end only touches at the same node.
        angle_deg: Between the axes where they meet, 0 to 90.
        offset_mm: How far the branch's axis lies off the header's, positive toward the branch's side at 90° from its
            heel, right-hand rule about the direction into the branch.
        along_mm: From end A of the header along its axis to the crossing.
        place_mm: The crossing on the header's axis, vehicle frame.
        from_mm: Along the header's axis, where the cut on it begins; equal to `to_mm` where it cuts nothing.
        to_mm: Where it ends.
        bend: Number of the header's bend that the cut reaches, from its end A; None where it is straight.
        to_bend_mm: From the edge of the cut to the nearest bend of the header, along its axis; 0 on a bend, infinite
            without one.
    """

    bar_id: str
    is_main: bool
    angle_deg: float
    offset_mm: float
    along_mm: float
    place_mm: Node
    from_mm: float
    to_mm: float
    bend: int | None
    to_bend_mm: float


@dataclass(frozen=True, kw_only=True, eq=False)
class WeldCurve:
    """The line on which a branch's skin meets the skins of its headers, once round the branch.

    Generators that no header cuts are left out. A root gap is left out too: it is the line of the tubes as if tight.

    Args:
        around_deg: Round the branch from its datum line, right-hand rule about the travel, rising; shape (n,).
        points_mm: Vehicle frame; shape (n, 3).
        branch_out: Unit normals of the branch's skin there, outward; shape (n, 3).
        header_out: Unit normals of the header's skin there, outward, on an oval bend as if round; shape (n, 3).
        header: Which of the end's headers each point lies on; shape (n,).
    """

    around_deg: Vector
    points_mm: Points
    branch_out: Points
    header_out: Points
    header: NDArray[np.intp]

    @property
    def length_mm(self) -> float:
        """Length of the closed curve."""
        steps = np.diff(self.points_mm, axis=0, append=self.points_mm[:1])
        return float(np.linalg.norm(steps, axis=1).sum())


@dataclass(frozen=True, kw_only=True)
class Clocking:
    """Where round the tube the heel of a cut lies.

    Args:
        heel_deg: From the datum line, right-hand rule about the travel from A to B, in [0, 360).
        heel_mm: The same round the skin.
        from_bends_deg: From the outside of each bend: number of the bend, and degrees in (-180, 180].
        is_square: Whether the axes are square within 0.5°: both sides along the header are as sharp, and the heel is
            the one toward the header's end B.
    """

    heel_deg: float
    heel_mm: float
    from_bends_deg: tuple[tuple[int, float], ...]
    is_square: bool


@dataclass(frozen=True, kw_only=True, eq=False)
class EndCut:
    """The cut of one end.

    Args:
        name: Stable name of the joint: `MH/SB-L-B` is end B of `SB-L` on `MH`.
        number: Place in the order in which the copes are made, from 1.
        bar_id: The bar that is cut, the branch.
        end: Which of its ends.
        headers: What it is cut to; the bar that it lands on first.
        later: Bars whose ends meet this end there and are cut to it.
        branch: The end as a branch; its origin is the drawn end and its datum side the datum line.
        header_tubes: The headers as tubes, in the order of `headers`.
        profile: The cut, root gap included; lengths from the drawn end inward, angles about the branch's direction.
        root_gap_mm: Between the cut and the headers' skins.
        clocking: Where round the tube the heel lies.
        tips: Outermost places of the cut; angles by the right-hand rule about the travel, as the wrap has them.
        tip_mm: The first of them on the skin, vehicle frame.
        tip_on_tube_mm: The tip along the marked tube, from the end of the tube at A.
        saw_off_mm: What is on the tube beyond the tip, to be sawn off; negative where the tube is too short.
        from_mark_mm: From the nearest mark on the tube to the tip.
        mark: That mark, in words.
        wrap_from_mark_mm: From the same mark to the wrap's reference line.
        wrap: The cut unrolled.
        weld: The line that is welded.
        findings: What a person should know of this end.
    """

    name: str
    number: int
    bar_id: str
    end: EndLetter
    headers: tuple[MetHeader, ...]
    later: tuple[str, ...]
    branch: Branch
    header_tubes: tuple[Header, ...]
    profile: CopeProfile
    root_gap_mm: float
    clocking: Clocking
    tips: tuple[Tip, ...]
    tip_mm: Node
    tip_on_tube_mm: float
    saw_off_mm: float
    from_mark_mm: float
    mark: str
    wrap_from_mark_mm: float
    wrap: Wrap
    weld: WeldCurve
    findings: tuple[Finding, ...] = ()

    @property
    def depth_mm(self) -> float:
        """Greatest less smallest cut."""
        return self.profile.depth_mm

    @property
    def main(self) -> MetHeader:
        """The header that the end lands on."""
        return self.headers[0]
