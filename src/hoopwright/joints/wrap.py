"""What a paper template round the end of a tube needs to know of a cope."""

from dataclasses import dataclass

from hoopwright.cage import EndLetter
from hoopwright.geometry import Vector


@dataclass(frozen=True, kw_only=True, eq=False)
class Wrap:
    """A cope unrolled on the outside of its tube.

    Args:
        bar_id: The bar that is cut.
        end: Which of its ends.
        headers: Bars that it is cut to.
        od_mm: Outside diameter of the tube that the paper goes round.
        around_deg: Even steps from 0 (on the tube's datum line) in [0, 360), right-hand rule about the travel from
            A to B; shape (n,).
        cut_mm: Where each generator is cut, counted along the tube from the reference line toward the end that is
            cut; NaN where it is not cut; shape (n,).
        reference_mm: From end A of the marked tube, along it, to the reference line square round the tube; from
            `measured_from` where that is another place.
        heel_deg: Where round the tube the heel is, from the datum line; None where no side is sharp.
        datum: What the datum line is, in words.
        measured_from: What `reference_mm` counts from, in words.
        corners: Places of the cut between the steps: degrees round the tube, and heights as `cut_mm` counts them.
            Where the cut has a corner, ends beside what is not cut, is highest and lowest.
        bridge_mm: Where it is not cut, a line from one edge of the cut to the next, as `cut_mm` counts; elsewhere the
            cut; shape (n,). None where it is not known.
        mark: Name of the mark nearest to the reference line, such as `the mark of bend 2`; empty without marks.
        mark_mm: From end A of the marked tube to that mark.
    """

    bar_id: str
    end: EndLetter
    headers: tuple[str, ...]
    od_mm: float
    around_deg: Vector
    cut_mm: Vector
    reference_mm: float
    heel_deg: float | None
    datum: str
    measured_from: str = "end A"
    corners: tuple[tuple[float, float], ...] = ()
    bridge_mm: Vector | None = None
    mark: str = ""
    mark_mm: float | None = None
