"""True places on the demo car, and true distances between them."""

from dataclasses import dataclass

import numpy as np

from hoopwright.democar.car import DemoCar, as_it_stands
from hoopwright.democar.floor_sheets import SEAT_BOLT_LEFT_MM, STRUT_TOWERS, floor_up_mm
from hoopwright.democar.lines import HOOP_MM, half_width_mm, roof_up_mm, tunnel_up_mm
from hoopwright.democar.roof_sheets import ROOF_FRONT_MM
from hoopwright.democar.sheets import Sheet
from hoopwright.democar.side_sheets import (
    RAIL_FRONT_MM,
    RAIL_REAR_MM,
    SILL_FRONT_MM,
    SILL_REAR_MM,
    side_sheets,
)

Place = tuple[float, float, float]
_TAPED = (
    ("inside the sills at the hoop", "left_inner_sill_at_hoop", "right_inner_sill_at_hoop"),
    ("roof rail to roof rail at the hoop", "left_roof_rail_at_hoop", "right_roof_rail_at_hoop"),
    ("A-pillar top to A-pillar top", "left_a_pillar_top", "right_a_pillar_top"),
    ("left A-pillar foot to right hoop foot", "left_a_pillar_foot", "right_hoop_foot"),
    ("right A-pillar foot to left hoop foot", "right_a_pillar_foot", "left_hoop_foot"),
    ("left A-pillar foot to left roof rail", "left_a_pillar_foot", "left_roof_rail_at_hoop"),
    ("tunnel to roof at the hoop", "tunnel_at_hoop", "roof_at_hoop"),
    ("rear strut tower to rear strut tower", "left_rear_strut_top", "right_rear_strut_top"),
    ("left sill, front to rear", "left_sill_lower_front", "left_sill_lower_rear"),
    ("right sill, front to rear", "right_sill_lower_front", "right_sill_lower_rear"),
)


@dataclass(frozen=True, kw_only=True)
class TrueDistance:
    """A straight distance between two landmarks.

    Args:
        name: What a person would measure, in words.
        start: Name of the landmark where the tape begins.
        end: Name of the landmark where it ends.
        start_mm: Place of `start` in vehicle axes.
        end_mm: Place of `end` in vehicle axes.
        distance_mm: The distance.
    """

    name: str
    start: str
    end: str
    start_mm: Place
    end_mm: Place
    distance_mm: float


def true_landmarks(car: DemoCar) -> dict[str, Place]:
    """Named places on the noise-free surface, forward, left, up in vehicle axes, mm."""
    left = {name: np.array(place, dtype=np.float64) for name, place in _left_places().items()}
    nominal = {f"left_{name}": place for name, place in left.items()}
    nominal |= {f"right_{name}": place * np.array([1.0, -1.0, 1.0]) for name, place in left.items()}
    nominal["tunnel_at_hoop"] = np.array([HOOP_MM, 0.0, float(tunnel_up_mm(HOOP_MM))])
    nominal["roof_at_hoop"] = np.array([HOOP_MM, 0.0, float(roof_up_mm(HOOP_MM, 0.0))])
    nominal["roof_front_middle"] = np.array([ROOF_FRONT_MM, 0.0, float(roof_up_mm(ROOF_FRONT_MM, 0.0))])
    standing = as_it_stands(np.array(list(nominal.values())), car)
    return {name: _as_place(place) for name, place in zip(nominal, standing, strict=True)}


def true_distances(landmarks: dict[str, Place]) -> tuple[TrueDistance, ...]:
    """Distances that a tape reaches inside the stripped car."""
    return tuple(
        TrueDistance(
            name=name,
            start=start,
            end=end,
            start_mm=landmarks[start],
            end_mm=landmarks[end],
            distance_mm=float(np.linalg.norm(np.subtract(landmarks[end], landmarks[start]))),
        )
        for name, start, end in _TAPED
    )


def _left_places() -> dict[str, Place]:
    sheets = {sheet.name: sheet for sheet in side_sheets()}
    rail, pillar, sill = sheets["left_roof_rail"], sheets["left_a_pillar"], sheets["left_sill"]
    forward, left, up = STRUT_TOWERS["rear"]
    return {
        "hoop_foot": _on_floor(HOOP_MM, 592.0),
        "a_pillar_foot": _on_floor(-1020.0, 600.0),
        "a_pillar_top": _on_sheet(pillar, 0.93, 3.5 / 6.0),
        "a_pillar_middle": _on_sheet(pillar, 0.5, 3.5 / 6.0),
        "roof_rail_at_hoop": _on_sheet(
            rail, (HOOP_MM - RAIL_FRONT_MM) / (RAIL_REAR_MM - RAIL_FRONT_MM), 5.5 / 7.0
        ),
        "inner_sill_at_hoop": _on_sheet(
            sill, (HOOP_MM - SILL_FRONT_MM) / (SILL_REAR_MM - SILL_FRONT_MM), 0.5 / 11.0
        ),
        "rear_strut_top": (forward, left, up),
        "front_strut_top": STRUT_TOWERS["front"],
        "seat_bolt_front": _on_floor(-1290.0, SEAT_BOLT_LEFT_MM),
        "seat_bolt_rear": _on_floor(-1720.0, SEAT_BOLT_LEFT_MM),
        "sill_lower_front": (-1000.0, float(half_width_mm(-1000.0, 0.0)), 0.0),
        "sill_lower_rear": (-2500.0, float(half_width_mm(-2500.0, 0.0)), 0.0),
    }


def _on_floor(forward: float, left: float) -> Place:
    return forward, left, float(floor_up_mm(np.array(forward), np.array(left)))


def _on_sheet(sheet: Sheet, u: float, v: float) -> Place:
    return _as_place(sheet.surface(np.array([u]), np.array([v]))[0])


def _as_place(point: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> Place:
    return float(point[0]), float(point[1]), float(point[2])
