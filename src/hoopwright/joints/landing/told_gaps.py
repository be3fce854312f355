"""What a person should know of how a landing's faces lie on the metal."""

from collections.abc import Sequence

import numpy as np

from hoopwright.bars import as_node
from hoopwright.findings import Finding, Severity
from hoopwright.geometry import Vector
from hoopwright.joints.landing.gaps import GOOD_MM
from hoopwright.joints.landing.metal_map import MetalMap
from hoopwright.joints.landing.placing import nearest_even
from hoopwright.joints.landing.result import Face

_WHOLE_RATIO = 0.985


def not_whole(name: str, bar_id: str, face: Face) -> tuple[Finding, ...]:
    """`LAND-011`: part of a face has no scanned metal under it."""
    gap = face.gap
    if gap is None or gap.seen_ratio >= _WHOLE_RATIO:
        return ()
    bare = 1.0 - gap.seen_ratio
    return (
        Finding(
            code="LAND-011",
            sentence=f"{name}: {100.0 * bare:.0f} % of its {face.name} ({face.area_mm2 * bare / 100.0:.1f} cm2) has no "
            "scanned metal under it: a hole, an edge, or not scanned.",
            todo="Make it smaller, scan what is there, or move the foot.",
            objects=(bar_id,),
            point_mm=as_node(face.outline_mm.mean(axis=0)),
            measured=100.0 * bare,
            limit=100.0 * (1.0 - _WHOLE_RATIO),
            unit="%",
        ),
    )


def better_place(
    name: str,
    bar_id: str,
    face: Face,
    seen: MetalMap,
    whole_mm: tuple[tuple[float, float], tuple[float, float]],
) -> tuple[Finding, ...]:
    """`LAND-028`: where, near by, the sole would lie whole and within 1.5 mm, when it does not where it is."""
    gap = face.gap
    if gap is None or (gap.seen_ratio >= _WHOLE_RATIO and gap.largest_mm <= GOOD_MM):
        return ()
    shift = nearest_even(seen, *whole_mm, within_mm=0.95 * GOOD_MM)
    if shift is None:
        sentence = (
            f"{name}: nowhere near does a sole of that size lie whole and within {GOOD_MM:g} mm on the metal."
        )
        todo = "Make it smaller, or dress the metal."
    else:
        way = seen.flat.along * shift[0] + seen.flat.across * shift[1]
        sentence = (
            f"{name}: the nearest place where a sole of that size lies whole and within {GOOD_MM:g} mm is "
            f"{np.hypot(*shift):.0f} mm away."
        )
        todo = f"Move it {moved_words(way)} of where it is, if the layout lets it."
    return (
        Finding(
            code="LAND-028",
            severity=Severity.NOTE,
            sentence=sentence,
            todo=todo,
            objects=(bar_id,),
            point_mm=as_node(face.outline_mm.mean(axis=0)),
            measured=None if shift is None else float(np.hypot(*shift)),
            unit="" if shift is None else "mm",
        ),
    )


def moved_words(way_mm: Vector) -> str:
    """A way in vehicle axes as one walks it: `50 mm back and 80 mm right`."""
    names = (("forward", "back"), ("left", "right"), ("up", "down"))
    steps = [
        f"{abs(one):.0f} mm {ahead if one > 0.0 else behind}"
        for one, (ahead, behind) in zip(way_mm.tolist(), names, strict=True)
        if round(one) != 0
    ]
    return " and ".join([", ".join(steps[:-1]), steps[-1]] if len(steps) > 1 else steps)


def gap_findings(name: str, bar_id: str, face: Face) -> tuple[Finding, ...]:
    """`LAND-019` for metal that stands through a face, `LAND-018` for a face that lies off the metal elsewhere."""
    gap = face.gap
    if gap is None or not gap.largest_mm > GOOD_MM:
        return ()
    even = (
        f"{gap.mean_mm:.1f} mm off on average, {100.0 * gap.within_ratio:.0f} % of it within {GOOD_MM:g} mm"
    )
    what, cause = (
        f"the plane of its {face.name}",
        "a bead, a bracket, a seam or a crown. The plate rocks on it.",
    )
    if not face.region:
        what, cause = f"the lower edge of its {face.name}", "cut that edge to it."
    if gap.high_mm > GOOD_MM:
        return (
            Finding(
                code="LAND-019",
                sentence=f"{name}: metal stands {gap.high_mm:.1f} mm through {what} ({even}): {cause}",
                todo="Dress it flat there, cut the plate round it, or move, turn or shorten the plate.",
                objects=tuple(one for one in (bar_id, face.region) if one),
                point_mm=gap.high_at_mm,
                measured=gap.high_mm,
                limit=GOOD_MM,
                unit="mm",
            ),
        )
    return (
        Finding(
            code="LAND-018",
            severity=Severity.NOTE,
            sentence=f"{name}: {what} lies up to {gap.largest_mm:.1f} mm over the metal ({even}).",
            todo="Dress the metal to the plate there, or the plate to the metal.",
            objects=tuple(one for one in (bar_id, face.region) if one),
            point_mm=gap.worst_at_mm,
            measured=gap.largest_mm,
            limit=GOOD_MM,
            unit="mm",
        ),
    )


def no_metal_below(name: str, bar_id: str, faces: Sequence[Face]) -> tuple[Finding, ...]:
    """`LAND-011` for the walls of a box whose lower edge stands over no scanned metal."""
    return tuple(
        Finding(
            code="LAND-011",
            sentence=f"{name}: {100.0 * (1.0 - face.gap.seen_ratio):.0f} % of the lower edge of its {face.name} stands "
            "over no scanned metal: a hole, an edge, or not scanned.",
            todo="Make the box smaller, scan what is there, or move the foot.",
            objects=(bar_id,),
            point_mm=as_node(face.outline_mm.mean(axis=0)),
            measured=100.0 * (1.0 - face.gap.seen_ratio),
            limit=100.0 * (1.0 - _WHOLE_RATIO),
            unit="%",
        )
        for face in faces
        if face.gap is not None and face.gap.seen_ratio < _WHOLE_RATIO
    )
