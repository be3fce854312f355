"""Lines, arcs, planes and rigid transforms. No word of cars or bars."""

from hoopwright.geometry.capsules import Capsule, distance_to_capsules_mm
from hoopwright.geometry.frames import Frame, Transform
from hoopwright.geometry.paths import STRAIGHT_THROUGH_DEG, Arc, FilletedPath, Line, fillet_path
from hoopwright.geometry.planes import Plane, fit_plane, mirror_points
from hoopwright.geometry.rigid import best_rigid_motion, rotation_about
from hoopwright.geometry.solids import solid_volume_mm3
from hoopwright.geometry.vectors import (
    Points,
    Vector,
    angle_between_deg,
    cross,
    signed_angle_about_deg,
    unit_vector,
    wrap_deg,
)

__all__ = [
    "STRAIGHT_THROUGH_DEG",
    "Arc",
    "Capsule",
    "FilletedPath",
    "Frame",
    "Line",
    "Plane",
    "Points",
    "Transform",
    "Vector",
    "angle_between_deg",
    "best_rigid_motion",
    "cross",
    "distance_to_capsules_mm",
    "fillet_path",
    "fit_plane",
    "mirror_points",
    "rotation_about",
    "signed_angle_about_deg",
    "solid_volume_mm3",
    "unit_vector",
    "wrap_deg",
]
