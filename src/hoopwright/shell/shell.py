"""A prepared scan laid in the vehicle frame."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

import numpy as np

from hoopwright.geometry import Plane, Points, Transform, Vector
from hoopwright.shell.envelope import Envelope, make_envelope
from hoopwright.shell.floor import without_workshop_floor
from hoopwright.shell.nearest import NearestMetal, nearest_metal
from hoopwright.shell.prepared import PreparedScan
from hoopwright.shell.rays import RayHits, first_hits
from hoopwright.shell.records import NamedPlace
from hoopwright.shell.region_names import name_regions
from hoopwright.shell.rods import nearest_to_rods
from hoopwright.shell.scan import Scan
from hoopwright.shell.surfels import Surfels
from hoopwright.shell.weld import weld_corners


@dataclass(frozen=True, eq=False, kw_only=True)
class Shell:
    """The scan as the design sees it. The mesh stays in the scan's frame; bars are carried to it.

    Args:
        prepared: The scan.
        to_vehicle: From the scan to the vehicle frame.
        body: The body's surfels without a workshop floor, in the scan's frame.
        envelope: Outline of the body in the vehicle frame.
        region_names: Name of each region.
        edges: Regions that are the edge of a hole, and the bar that passes through each; see `cut.cut_shell`.
    """

    prepared: PreparedScan
    to_vehicle: Transform
    body: Surfels
    envelope: Envelope
    region_names: tuple[str, ...]
    edges: Mapping[int, str] = field(default_factory=lambda: MappingProxyType({}))

    def body_box(self) -> tuple[Vector, Vector]:
        """Lowest and highest corner of the body in the vehicle frame."""
        corners = self.prepared.tree.corners[self.body.of_triangle >= 0].reshape(-1, 3)
        along = [corners @ axis.astype(np.float32) for axis in self.to_vehicle.rotation]
        low, high = (np.array([getattr(one, end)() for one in along]) for end in ("min", "max"))
        return low + self.to_vehicle.shift_mm, high + self.to_vehicle.shift_mm

    @cached_property
    def to_scan(self) -> Transform:
        """From the vehicle frame to the scan."""
        return self.to_vehicle.inverse()

    def nearest(self, points_mm: Points, **how: float) -> NearestMetal:
        """Nearest metal to points of the vehicle frame, shape (n, 3); see `nearest_metal`."""
        found = nearest_metal(self.prepared.tree, self.to_scan.points(points_mm), **how)
        return NearestMetal(
            distance_mm=found.distance_mm,
            place_mm=self.to_vehicle.points(found.place_mm),
            triangle=found.triangle,
        )

    def near_rods(self, starts_mm: Points, ends_mm: Points, *, reach_mm: float) -> NearestMetal:
        """Nearest metal to straight pieces of the vehicle frame, shape (n, 3); see `rods.nearest_to_rods`."""
        back = self.to_scan
        found = nearest_to_rods(
            self.prepared.tree, back.points(starts_mm), back.points(ends_mm), reach_mm=reach_mm
        )
        return NearestMetal(
            distance_mm=found.distance_mm,
            place_mm=self.to_vehicle.points(found.place_mm),
            triangle=found.triangle,
        )

    def first_hits(
        self, starts_mm: Points, directions: Points, *, reach_mm: float | Vector = np.inf
    ) -> RayHits:
        """First metal along rays of the vehicle frame, shapes (n, 3); see `rays.first_hits`."""
        back = self.to_scan
        hits = first_hits(
            self.prepared.tree, back.points(starts_mm), back.directions(directions), reach_mm=reach_mm
        )
        return RayHits(
            distance_mm=hits.distance_mm,
            place_mm=self.to_vehicle.points(hits.place_mm),
            triangle=hits.triangle,
        )


def body_as_scan(shell: Shell) -> Scan:
    """The body alone, without workshop floor, clutter and specks, in the scan's frame and mm."""
    corners = shell.prepared.tree.corners[shell.body.of_triangle >= 0]
    if shell.prepared.is_cloud:
        points, triangles = np.ascontiguousarray(corners[:, :3]), np.empty((0, 3), dtype=np.int32)
    else:
        points, triangles = weld_corners(corners.reshape(-1, 3, 3))
    return Scan(
        points=points,
        triangles=triangles,
        offset=np.zeros(3),
        declared_unit="mm",
        declared_by="",
        source_name="body",
    )


def make_shell(
    prepared: PreparedScan, to_vehicle: Transform, named_places: Sequence[NamedPlace] = ()
) -> Shell:
    """Lay a prepared scan in the vehicle frame.

    Args:
        prepared: The scan.
        to_vehicle: From the scan to the vehicle frame.
        named_places: Regions that the person named, by a place on them.
    """
    rotation = to_vehicle.rotation
    centre = Plane(rotation[1], -float(to_vehicle.shift_mm[1]))
    body = without_workshop_floor(prepared.surfels, rotation[2], centre) or prepared.surfels
    return Shell(
        prepared=prepared,
        to_vehicle=to_vehicle,
        body=body,
        envelope=make_envelope(to_vehicle.points(body.middle_mm)),
        region_names=name_regions(prepared, to_vehicle, named_places),
    )
