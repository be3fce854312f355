from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from hoopwright.democar import DemoCar, DemoScan, build_demo_scan


@dataclass(frozen=True, eq=False, kw_only=True)
class Unposed:
    """A demo scan taken back to vehicle axes."""

    scan: DemoScan
    triangles: NDArray[np.float64]

    def piece(self, name: str) -> NDArray[np.float64]:
        (found,) = (piece for piece in self.scan.pieces if piece.name == name)
        return self.triangles[found.first : found.first + found.count]

    @property
    def car(self) -> NDArray[np.float64]:
        return np.concatenate([self.piece(piece.name) for piece in self.scan.pieces if piece.of_car])


def unposed(**changes: float) -> Unposed:
    scan = build_demo_scan(DemoCar(**{"spacing_mm": 20.0, **changes}))
    vehicle = scan.pose.inverse().points(scan.triangles.reshape(-1, 3)).reshape(-1, 3, 3)
    return Unposed(scan=scan, triangles=vehicle)


@pytest.fixture(scope="session")
def noisy() -> Unposed:
    return unposed()


@pytest.fixture(scope="session")
def clean() -> Unposed:
    """Without noise, with the same corners in the same order as `noisy`."""
    return unposed(noise_mm=0.0)


@pytest.fixture(scope="session")
def default_clean() -> Unposed:
    return unposed(noise_mm=0.0, spacing_mm=DemoCar().spacing_mm)
