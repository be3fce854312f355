"""What a person says of a scan: landmarks, tape distances, names of regions. Light to import."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class ScanLandmark:
    """One place, in the scan and (as far as known) on the car.

    Args:
        name: What it is.
        scan_mm: Where it is in the scan, scan frame.
        forward_mm: Known place on the car, or None.
        left_mm: The same.
        up_mm: The same.
        twin: Name of the landmark at the same place on the other side, if any: both then lie equally far
            from the centre plane, equally far forward and equally high.
    """

    name: str
    scan_mm: tuple[float, float, float]
    forward_mm: float | None = None
    left_mm: float | None = None
    up_mm: float | None = None
    twin: str | None = None


@dataclass(frozen=True, kw_only=True)
class TapePlace:
    """One end of a tape distance.

    Args:
        place_mm: Vehicle frame.
        on_metal: True: the nearest metal is meant. False: the place itself (a datum such as the floor line).
    """

    place_mm: tuple[float, float, float]
    on_metal: bool = True


@dataclass(frozen=True, kw_only=True)
class TapeDistance:
    """A distance as the tape read it.

    Args:
        name: What was measured.
        tape_mm: What the tape said.
        from_place: One end.
        to_place: The other end.
    """

    name: str
    tape_mm: float
    from_place: TapePlace
    to_place: TapePlace


@dataclass(frozen=True, kw_only=True)
class NamedPlace:
    """A name that the person gives to the region at a place.

    Args:
        name: The name.
        place_mm: A place on the region, vehicle frame.
    """

    name: str
    place_mm: tuple[float, float, float]
