"""Landings in words and as JSON keys."""

import math
from typing import TYPE_CHECKING, Any

from hoopwright.cli.output import table_text

if TYPE_CHECKING:
    from hoopwright.geometry import Points
    from hoopwright.jobs.landings import LandedFoot, LandingReport
    from hoopwright.joints import FlatPart
    from hoopwright.joints.landing import Face, FittedLanding, GapToMetal

_CAUTION = (
    "Sizes that nobody typed are common practice; what is enough is for your rule book and the scrutineer. Try each "
    "plate in cardboard before steel is cut."
)


def feet_table(report: "LandingReport") -> str:
    """Every foot in a line."""
    if not report.feet:
        return "no bar stands on the shell"
    rows = [_row(foot) for foot in report.feet]
    heads = ["foot", "landing", "sole", "up the wall", "area cm2", "kg", "gap to metal", "leg cut"]
    without = sum(foot.foot.landing is None for foot in report.feet)
    lines = [table_text(heads, rows)]
    if without:
        lines.append(
            f"{without} without a landing: 'hoopwright landing set PROJECT --all' gives each the usual one"
        )
    if report.fitted:
        lines.append(_CAUTION)
    return "\n".join(lines)


def _row(foot: "LandedFoot") -> list[str]:
    name = f"{foot.foot.bar_id} {foot.foot.end}"
    if foot.foot.landing is None:
        return [name, "none", *[""] * 6]
    fitted = foot.fitted
    if fitted is None:
        return [name, foot.foot.landing.kind.value, "cannot be made", *[""] * 5]
    gaps = [face.gap.largest_mm for face in fitted.faces if face.gap is not None]
    seen = [gap for gap in gaps if math.isfinite(gap)]
    return [
        name,
        fitted.landing.kind.value,
        f"{fitted.length_mm:g} x {fitted.width_mm:g} x {fitted.landing.thickness_mm:g}",
        f"{fitted.wall_mm:.0f}" if fitted.wall_mm else "",
        f"{fitted.area_mm2 / 100.0:.1f}",
        f"{fitted.mass_kg:.2f}",
        f"{max(seen):.1f}" if seen else "not seen",
        f"{fitted.cut.angle_deg:.1f}°",
    ]


def landing_text(foot: "LandedFoot") -> str:
    """One landing in full."""
    name = f"{foot.foot.bar_id} end {foot.foot.end}"
    if foot.foot.landing is None:
        return f"{name} has no landing"
    fitted = foot.fitted
    if fitted is None:
        return f"{name}: {foot.foot.landing.kind.value} that cannot be made"
    cut = fitted.cut
    shorter = "shorter" if cut.shorten_mm >= 0.0 else "longer"
    lines = [
        f"{name}: {fitted.landing.kind.value}, {fitted.landing.thickness_mm:g} mm, "
        f"{fitted.area_mm2 / 100.0:.1f} cm2 in all, {fitted.mass_kg:.2f} kg",
        table_text(
            ["face", "on", "area cm2", "largest gap", "mean gap", "within 1.5", "stands through"],
            [_face_row(face) for face in fitted.faces],
        ),
        *(_part_line(part) for part in fitted.parts),
        f"leg: {abs(cut.shorten_mm):.1f} mm {shorter} than drawn, cut {cut.angle_deg:.1f}° off square, longest at "
        f"{round(cut.clocking_deg) % 360}° from the datum line ({cut.wrap.datum})",
        _CAUTION,
    ]
    return "\n".join(lines)


def _face_row(face: "Face") -> list[str]:
    area = f"{face.area_mm2 / 100.0:.1f}"
    gap = face.gap
    if gap is None:
        return [face.name, "", area, *[""] * 4]
    if not math.isfinite(gap.largest_mm):
        return [face.name, face.region, area, "not seen", "", "", ""]
    return [
        face.name,
        face.region,
        area,
        f"{gap.largest_mm:.1f}",
        f"{gap.mean_mm:.1f}",
        f"{100.0 * gap.within_ratio:.0f} %",
        f"{gap.high_mm:.1f}",
    ]


def _part_line(part: "FlatPart") -> str:
    wide, high = (float(side) for side in part.outline_mm.max(axis=0) - part.outline_mm.min(axis=0))
    folds = ", ".join(
        f"{abs(fold.angle_deg):.1f}° {'up' if fold.angle_deg > 0 else 'down'}" for fold in part.folds
    )
    holes = f", {len(part.holes)} holes of {part.holes[0].diameter_mm:g}" if part.holes else ""
    return f"flat: {part.name}, {wide:.1f} x {high:.1f}" + (f", folds {folds}" if folds else "") + holes


def report_keys(report: "LandingReport") -> dict[str, Any]:
    """All feet as JSON."""
    return {"feet": [landing_keys(foot) for foot in report.feet]}


def landing_keys(foot: "LandedFoot") -> dict[str, Any]:
    """One foot as JSON."""
    landing = foot.foot.landing
    asked = None if landing is None else {**vars(landing), "kind": landing.kind.value}
    return {
        "bar_id": foot.foot.bar_id,
        "end": foot.foot.end,
        "landing": asked,
        "fitted": None if foot.fitted is None else _fitted_keys(foot.fitted),
    }


def _fitted_keys(fitted: "FittedLanding") -> dict[str, Any]:
    cut = fitted.cut
    return {
        "length_mm": fitted.length_mm,
        "width_mm": fitted.width_mm,
        "wall_mm": fitted.wall_mm,
        "area_mm2": fitted.area_mm2,
        "mass_kg": fitted.mass_kg,
        "moved_mm": list(fitted.moved_mm),
        "faces": [
            {
                "name": face.name,
                "region": face.region,
                "normal": face.plane.normal.tolist(),
                "outline_mm": _points(face.outline_mm),
                "area_mm2": face.area_mm2,
                "gap": None if face.gap is None else _gap_keys(face.gap),
            }
            for face in fitted.faces
        ],
        "parts": [
            {
                "name": part.name,
                "thickness_mm": part.thickness_mm,
                "outline_mm": _points(part.outline_mm),
                "holes": [vars(hole) for hole in part.holes],
                "folds": [vars(fold) for fold in part.folds],
                "notes": list(part.notes),
            }
            for part in fitted.parts
        ],
        "leg_cut": {
            "angle_deg": cut.angle_deg,
            "clocking_deg": cut.clocking_deg,
            "shorten_mm": cut.shorten_mm,
            "datum": cut.wrap.datum,
            "reference_mm": cut.wrap.reference_mm,
        },
    }


def _gap_keys(gap: "GapToMetal") -> dict[str, Any]:
    return {
        name: None if isinstance(value, float) and not math.isfinite(value) else value
        for name, value in vars(gap).items()
    }


def _points(points_mm: "Points") -> list[list[float]]:
    return [[float(value) for value in point] for point in points_mm]
