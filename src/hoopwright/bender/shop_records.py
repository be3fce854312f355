"""What outlives one car: benders, dies, tube batches, sticks and offcuts, as records.

A record is a fact at the time when it was written. Nothing is edited: a change is a further version of the same
name, and `version` tells which.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from hoopwright.bender.calibration import SAME_TUBE_MM
from hoopwright.bender.machine import Machine, Swing
from hoopwright.bender.shop_values import (
    choice_faults,
    flag_faults,
    number_faults,
    refuse_if_any,
    stand_faults,
    text_faults,
)
from hoopwright.findings import Finding, Severity
from hoopwright.tubes import TubeSize

StickState = Literal["kept", "used"]
LONGEST_STICK_MM = 30_000.0
LARGEST_REACH_DEG = 200.0


@dataclass(frozen=True, kw_only=True)
class ShopBender:
    """A bender of the shop.

    Args:
        name: What it is called.
        swings: Which way the leading end swings, seen from above.
        clamp_mm: Straight that the clamp needs.
        axis_height_mm: Height of the tube's axis over the floor, if known.
        reach_deg: Greatest angle that can be read under load.
        stand: How it stands in its room: a plain mapping, kept as it is given.
        note: Anything else.
        retired: Whether it is out of use; its records stay.
        version: Which record of that name, from 1; 0 before it is kept.

    Raises:
        UserError: `MACH-001`, `SHOP-001`, `SHOP-004`.
    """

    name: str
    swings: Swing
    clamp_mm: float
    axis_height_mm: float | None = None
    reach_deg: float = 180.0
    stand: Mapping[str, object] = field(default_factory=lambda: MappingProxyType({}), hash=False)
    note: str = ""
    retired: bool = False
    version: int = field(default=0, compare=False)

    def __post_init__(self) -> None:
        refuse_if_any(self._faults())
        _ = self.machine

    def _faults(self) -> Iterator[Finding]:
        yield from text_faults("a bender", "name", self.name, needed=True)
        what = f"bender '{self.name}'"
        yield from text_faults(what, "note", self.note, note=True)
        yield from number_faults(what, "clamp_mm", self.clamp_mm, 0.0, 5000.0, "mm")
        if self.axis_height_mm is not None:
            yield from number_faults(what, "axis_height_mm", self.axis_height_mm, 0.0, 10_000.0, "mm")
        yield from number_faults(what, "reach_deg", self.reach_deg, 1.0, LARGEST_REACH_DEG, "deg")
        yield from stand_faults(what, self.stand)
        yield from choice_faults(what, "swings", self.swings, ("clockwise", "anticlockwise"))
        yield from flag_faults(what, "retired", self.retired)

    @property
    def machine(self) -> Machine:
        """The machine as a bar sheet needs it."""
        return Machine(
            name=self.name,
            swings=self.swings,
            clamp_mm=self.clamp_mm,
            axis_height_mm=self.axis_height_mm,
            die_reach_deg=self.reach_deg,
        )


@dataclass(frozen=True, kw_only=True)
class ShopDie:
    """A die of the shop.

    Args:
        name: What it is called, as bars name it.
        od_mm: Outside diameter of the tube that fits it.
        clr_mm: Centreline radius written on it.
        reach_deg: Greatest angle that can be commanded with it.
        clamp_mm: Straight that its clamp needs; None where the bender's holds.
        bender: The bender that it belongs to.
        note: Anything else.
        retired: Whether it is out of use; its records stay.
        version: Which record of that name, from 1; 0 before it is kept.

    Raises:
        UserError: `SHOP-001`, `SHOP-002`.
    """

    name: str
    od_mm: float
    clr_mm: float
    reach_deg: float
    bender: str
    clamp_mm: float | None = None
    note: str = ""
    retired: bool = False
    version: int = field(default=0, compare=False)

    def __post_init__(self) -> None:
        refuse_if_any(self._faults())

    def _faults(self) -> Iterator[Finding]:
        yield from text_faults("a die", "name", self.name, needed=True)
        what = f"die '{self.name}'"
        yield from text_faults(what, "bender", self.bender, needed=True)
        yield from text_faults(what, "note", self.note, note=True)
        wrong_od = tuple(number_faults(what, "od_mm", self.od_mm, 3.0, 500.0, "mm"))
        yield from wrong_od
        # a radius of half the diameter would be a point inside the tube
        least_mm = 0.0 if wrong_od else math.nextafter(self.od_mm / 2.0, math.inf)
        yield from number_faults(what, "clr_mm", self.clr_mm, least_mm, 10_000.0, "mm")
        yield from number_faults(what, "reach_deg", self.reach_deg, 1.0, LARGEST_REACH_DEG, "deg")
        if self.clamp_mm is not None:
            yield from number_faults(what, "clamp_mm", self.clamp_mm, 0.0, 5000.0, "mm")
        yield from flag_faults(what, "retired", self.retired)

    def fits(self, tube: TubeSize) -> bool:
        """Whether a tube has the diameter that the die is made for."""
        return abs(tube.od_mm - self.od_mm) <= SAME_TUBE_MM


@dataclass(frozen=True, kw_only=True)
class TubeBatch:
    """Tube of one heat, as it was delivered.

    Args:
        name: What it is called.
        tube: Its size.
        steel: Grade, as the certificate writes it.
        heat_number: Heat number on certificate and tube.
        yield_mpa: Yield strength on the certificate, if known.
        certificate: What was typed of the certificate, its number above all.
        note: Anything else.
        retired: Whether none is left; its records stay.
        version: Which record of that name, from 1; 0 before it is kept.

    Raises:
        UserError: `SHOP-001`, `SHOP-002`.
    """

    name: str
    tube: TubeSize
    steel: str = ""
    heat_number: str = ""
    yield_mpa: float | None = None
    certificate: str = ""
    note: str = ""
    retired: bool = False
    version: int = field(default=0, compare=False)

    def __post_init__(self) -> None:
        refuse_if_any(self._faults())

    def _faults(self) -> Iterator[Finding]:
        yield from text_faults("a batch", "name", self.name, needed=True)
        what = f"batch '{self.name}'"
        for key in ("steel", "heat_number", "certificate"):
            yield from text_faults(what, key, getattr(self, key))
        yield from text_faults(what, "note", self.note, note=True)
        if self.yield_mpa is not None:
            yield from number_faults(what, "yield_mpa", self.yield_mpa, 50.0, 3000.0, "MPa")
        yield from flag_faults(what, "retired", self.retired)


@dataclass(frozen=True, kw_only=True)
class Stick:
    """A stick or an offcut.

    Args:
        label: What is written on it.
        batch: Its batch.
        length_mm: Its length.
        state: `kept` on the rack, or `used`.
        cut_from: Label of the stick that an offcut is left of; empty for a whole stick.
        note: Anything else.
        version: Which record of that label, from 1; 0 before it is kept.

    Raises:
        UserError: `SHOP-001` to `SHOP-003`.
    """

    label: str
    batch: str
    length_mm: float
    state: StickState = "kept"
    cut_from: str = ""
    note: str = ""
    version: int = field(default=0, compare=False)

    def __post_init__(self) -> None:
        refuse_if_any(self._faults())

    def _faults(self) -> Iterator[Finding]:
        yield from text_faults("a stick", "label", self.label, needed=True)
        what = f"stick '{self.label}'"
        yield from text_faults(what, "batch", self.batch, needed=True)
        yield from text_faults(what, "cut_from", self.cut_from)
        yield from text_faults(what, "note", self.note, note=True)
        yield from number_faults(what, "length_mm", self.length_mm, 1.0, LONGEST_STICK_MM, "mm")
        yield from choice_faults(what, "state", self.state, ("kept", "used"))
        if self.cut_from and self.cut_from == self.label:
            yield from choice_faults(what, "cut_from", self.cut_from, ("the label of another stick",))


def over_reach(what: str, command_deg: float, die: ShopDie, key: str) -> Finding:
    """The finding that an angle is more than a die can reach."""
    return Finding(
        code="SHOP-005",
        severity=Severity.STOP,
        sentence=f"{what[:1].upper()}{what[1:]}: {command_deg:g}° under load is over the reach of die '{die.name}', "
        f"{die.reach_deg:g}°.",
        todo="Is it another die, or was the gauge not zeroed?",
        objects=(key, die.name),
        measured=command_deg,
        limit=die.reach_deg,
        unit="deg",
    )


def not_of_one(what: str, why: str, *objects: str) -> Finding:
    """The finding that things named together do not belong together."""
    return Finding(
        code="SHOP-006",
        severity=Severity.STOP,
        sentence=f"{what[:1].upper()}{what[1:]}: {why}.",
        todo="Look which one is meant: a reading kept under the wrong die or batch spoils every later bend.",
        objects=objects,
    )
