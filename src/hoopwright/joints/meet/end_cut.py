"""The cut of one end of a bar where it meets other bars: what papers, solids and the weld plan are made from."""

from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Node
from hoopwright.cage import EndLetter
from hoopwright.findings import Finding
from hoopwright.geometry import Points, Vector
from hoopwright.joints.wrap import Wrap


@dataclass(frozen=True, kw_only=True)
class MetHeader:
    """A bar that an end is cut to.

    Args:
        bar_id: The bar.
        is_main: Whether the end lands on it; False for a bar that the end only touches at the same node.
        angle_deg: Between the axes where they meet, 0 to 90.
        offset_mm: How far the axes miss each other, never negative.
        along_mm: From end A of the header along its axis to the crossing.
        place_mm: The crossing on the header's axis, vehicle frame.
        bend: Number of the header's bend that the cut reaches, from its end A; None where it is straight.
        to_bend_mm: From the nearest edge of the cut to the nearest bend of the header, along its axis; 0 on a bend,
            infinite without one.
    """

    bar_id: str
    is_main: bool
    angle_deg: float
    offset_mm: float
    along_mm: float
    place_mm: Node
    bend: int | None
    to_bend_mm: float


@dataclass(frozen=True, kw_only=True, eq=False)
class WeldCurve:
    """The line on which a branch's skin meets the skins of its headers, once round the branch.

    Args:
        points_mm: Even steps round the branch from its datum line, vehicle frame; shape (n, 3).
        branch_out: Unit normals of the branch's skin there, outward; shape (n, 3).
        header_out: Unit normals of the header's skin there, outward; shape (n, 3).
        header: Which of the end's headers each point lies on; shape (n,).
    """

    points_mm: Points
    branch_out: Points
    header_out: Points
    header: tuple[int, ...]

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
        from_bends_deg: From the outside of each bend, by number of the bend, in (-180, 180].
    """

    heel_deg: float
    heel_mm: float
    from_bends_deg: tuple[tuple[int, float], ...]


@dataclass(frozen=True, kw_only=True, eq=False)
class EndCut:
    """The cut of one end.

    Args:
        name: Stable name of the joint: `MH/SB-L-B` is end B of `SB-L` on `MH`.
        bar_id: The bar that is cut, the branch.
        end: Which of its ends.
        headers: What it is cut to; the bar that it lands on first.
        axis_mm: Where the drawn end of its axis lies, vehicle frame.
        inward: Unit direction of its axis away from the end, shape (3,).
        datum_side: Unit direction from its axis to its datum line at this end, shape (3,).
        clocking: Where round the tube the heel lies.
        depth_mm: Greatest less smallest cut.
        tip_mm: Outermost place of the cut, on its skin; vehicle frame.
        tip_on_tube_mm: The tip along the marked tube, from the end of the tube at A.
        saw_off_mm: What is left on the tube beyond the tip before the cope is cut.
        wrap: The cut unrolled.
        weld: The line that is welded.
        findings: What a person should know of this end.
    """

    name: str
    bar_id: str
    end: EndLetter
    headers: tuple[MetHeader, ...]
    axis_mm: Node
    inward: Vector
    datum_side: Vector
    clocking: Clocking
    depth_mm: float
    tip_mm: Node
    tip_on_tube_mm: float
    saw_off_mm: float
    wrap: Wrap
    weld: WeldCurve
    findings: tuple[Finding, ...] = ()
