"""What goes with a cope for a person to know."""

import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from hoopwright.findings import Finding, Severity
from hoopwright.geometry import Arc, Line
from hoopwright.joints.cope.cutting import Cut, Scene
from hoopwright.joints.cope.faults import ROUNDING_DEG, capital
from hoopwright.joints.cope.meeting import Meeting
from hoopwright.joints.cope.tubes import Branch, Header

SHARP_DEG = 30.0
"""Source: design guides for welded hollow sections (CIDECT, after the IIW recommendations) start at 30°."""
_SHOWN_MM = 0.05


def cautions(
    scene: Scene, meetings: Sequence[Meeting], around_deg: NDArray[np.float64], cut: Cut, over_mm: float
) -> tuple[Finding, ...]:
    """Cautions of a joint.

    Args:
        scene: The joint.
        meetings: How each header lies.
        around_deg: Generators all round, shape (n,).
        cut: Where their outside skin is cut.
        over_mm: How far the branch stands out past its headers.
    """
    found = list(_of_headers(scene, meetings, around_deg, cut))
    if over_mm > _SHOWN_MM:
        found.append(_overhang(scene, meetings, over_mm))
    return tuple(found)


def _of_headers(
    scene: Scene, meetings: Sequence[Meeting], around_deg: NDArray[np.float64], cut: Cut
) -> Iterator[Finding]:
    branch = scene.branch
    for index, (header, met, taken) in enumerate(zip(scene.headers, meetings, scene.ranges_mm, strict=True)):
        here = cut.header == index
        if taken is None:
            yield _left_out(branch, header, met)
            continue
        if met.angle_deg < SHARP_DEG - ROUNDING_DEG:
            yield sharp(branch, header, met)
        yield from _on_bends(branch, header, met, cut.piece[here])
        yield from _past_ends(branch, header, branch.skin_mm(around_deg[here], cut.along_mm[here]))


def sharp(branch: Branch, header: Header, met: Meeting) -> Finding:
    """`COPE-004`: the angle between branch and header, under 30°."""
    return Finding(
        code="COPE-004",
        objects=(branch.name, header.name),
        sentence=capital(
            f"{branch.name} meets {header.name} at {met.angle_deg:.1f}°, under {SHARP_DEG:g}°: "
            "the heel is hard to weld through."
        ),
        todo="Try torch and electrode in the heel on a scrap joint first, or move the branch's far end.",
        measured=met.angle_deg,
        limit=SHARP_DEG,
        unit="deg",
    )


def _overhang(scene: Scene, meetings: Sequence[Meeting], over_mm: float) -> Finding:
    branch = scene.branch
    wanted = [k for k, taken in enumerate(scene.ranges_mm) if taken is not None]
    widest = max(wanted, key=lambda k: scene.headers[k].od_mm)
    header, met = scene.headers[widest], meetings[widest]
    spare_mm = (header.od_mm - branch.od_mm) / 2.0
    if spare_mm < 0.0:
        return Finding(
            code="COPE-006",
            objects=(branch.name, header.name),
            sentence=capital(
                f"{branch.name}, {branch.od_mm:g} mm, is wider than {header.name}, {header.od_mm:g} mm, "
                f"and overhangs it by {over_mm:.1f} mm: it is not cut there."
            ),
            todo=f"Let {branch.name} run through and cut {header.name} to it, or take a branch of "
            f"{header.od_mm:g} mm or less.",
            measured=branch.od_mm,
            limit=header.od_mm,
            unit="mm",
        )
    return Finding(
        code="COPE-005",
        objects=(branch.name, header.name),
        sentence=capital(f"{branch.name} overhangs {header.name} by {over_mm:.1f} mm: it is not cut there."),
        todo=f"Bring the axes from {abs(met.offset_mm):.1f} mm to {spare_mm:.1f} mm or less of each other, "
        f"take a branch of {max(0.0, header.od_mm - 2.0 * abs(met.offset_mm)):.1f} mm or less, or "
        "close the opening with a plate.",
        measured=over_mm,
        limit=0.0,
        unit="mm",
    )


def _left_out(branch: Branch, header: Header, met: Meeting) -> Finding:
    apart_mm = abs(met.offset_mm) - (branch.od_mm + header.od_mm) / 2.0
    where = (
        f"passes it {apart_mm:.1f} mm clear"
        if apart_mm > 0.0
        else f"meets it apart from this joint, {met.branch_mm:.0f} mm along the branch"
    )
    return Finding(
        code="COPE-008",
        objects=(branch.name, header.name),
        sentence=capital(f"{header.name} takes no part in the cope of {branch.name}: the branch {where}."),
        todo=f"Leave {header.name} out of this joint, or move the branch until it meets it.",
        measured=apart_mm if apart_mm > 0.0 else met.branch_mm,
        limit=0.0,
        unit="mm",
    )


def _on_bends(branch: Branch, header: Header, met: Meeting, pieces: NDArray[np.intp]) -> Iterator[Finding]:
    bends = [index for index, piece in enumerate(header.path.pieces) if isinstance(piece, Arc)]
    for bend, index in enumerate(bends):
        if not (pieces == index).any():
            continue
        oval = header.oval_of(bend)
        if oval is None:
            yield _unmeasured(branch, header, bend, met)
        else:
            yield Finding(
                code="COPE-009",
                severity=Severity.NOTE,
                objects=(branch.name, header.name),
                sentence=capital(
                    f"{branch.name} lands on bend {bend + 1} of {header.name}, cut to its measured section of "
                    f"{oval.in_plane_mm:g} mm in the plane of the bend and {oval.across_mm:g} mm across."
                ),
                todo="The section is taken as an ellipse: try the wrap on the bend before you cut.",
                measured=oval.in_plane_mm,
                limit=header.od_mm,
                unit="mm",
            )


def _unmeasured(branch: Branch, header: Header, bend: int, met: Meeting) -> Finding:
    each_mm = 0.5 / math.sin(math.radians(met.angle_deg))
    return Finding(
        code="COPE-010",
        objects=(branch.name, header.name),
        sentence=capital(
            f"{branch.name} lands on bend {bend + 1} of {header.name}, whose ovality is not known: it is taken as "
            f"round. Each millimetre that the bend is out of round opens the joint by up to about {each_mm:.1f} mm."
        ),
        todo="Measure the bend over the outside, in its plane and across, and give both.",
        measured=each_mm,
        unit="mm/mm",
    )


def _past_ends(branch: Branch, header: Header, points: NDArray[np.float64]) -> Iterator[Finding]:
    first, last = header.path.pieces[0], header.path.pieces[-1]
    if len(points) == 0 or not (header.is_endless and isinstance(first, Line) and isinstance(last, Line)):
        return
    end_mm = last.start_mm + last.length_mm * last.direction
    past = {"start": (first.start_mm - points) @ first.direction, "end": (points - end_mm) @ last.direction}
    reach_mm = 2.0 * branch.od_mm + header.od_mm
    for name, beyond in past.items():
        if beyond.max() <= _SHOWN_MM:
            continue
        at = first.start_mm if name == "start" else end_mm
        near = np.linalg.norm(points - at, axis=1) < reach_mm + np.abs(beyond)
        over_mm = float(np.max(np.where(near, beyond, -np.inf)))
        if over_mm > _SHOWN_MM:
            yield Finding(
                code="COPE-011",
                objects=(branch.name, header.name),
                sentence=capital(
                    f"{branch.name} lands {over_mm:.1f} mm past the {name} of {header.name}: "
                    "nothing is under it there."
                ),
                todo=f"Move the branch by {over_mm:.1f} mm or more along the header, or leave the header longer.",
                measured=over_mm,
                limit=0.0,
                unit="mm",
            )
