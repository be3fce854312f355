"""The invented demo job: shop, car, machine and what was measured. Every name and number is made up."""

from collections.abc import Iterator
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from hoopwright.democar.car import DemoCar
from hoopwright.democar.landmarks import Place, TrueDistance, true_distances, true_landmarks

SHOP_NAME = "Third Shed Fabrication"
CAR_NAME = "Quillet two-door"
SCAN_FILE_NAME = "quillet_stripped.stl"
SCAN_UNIT = "m"
"""The file is written in metres and cannot say so: which unit it is has to be asked."""
BENDER_NAME = "bender by the back wall"
SAMPLE_DAY = "2026-03-14"

_TAPE_SD_MM_PER_M = 0.3
_TAPE_WORST_MM_PER_M = 0.7
_TAPE_MARK_MM = 0.5
_LEG_SD_MM = 0.25
_GAUGE_SD_DEG = 0.1
_GAUGE_MARK_DEG = 0.1


@dataclass(frozen=True, kw_only=True)
class HiddenDie:
    """What the demo's machine really does with one die and tube; the tool only sees its sample bends.

    Args:
        name: Name of the die.
        batch: Heat number of the tube.
        od_mm: Outside diameter of the tube.
        wall_mm: Its wall.
        clr_mm: Centreline radius of the finished bend.
        used_per_deg_mm: Tube used per degree of the finished bend.
        start_offset_mm: From the mark at the die face to the start of the bend.
        springback_constant_deg: Constant part of the springback.
        springback_per_command_deg: Springback per degree of command.
    """

    name: str
    batch: str
    od_mm: float
    wall_mm: float
    clr_mm: float
    used_per_deg_mm: float
    start_offset_mm: float
    springback_constant_deg: float
    springback_per_command_deg: float


@dataclass(frozen=True, kw_only=True)
class TapeReading:
    """A distance as it was read off a tape in the demo car.

    Args:
        name: What was measured, in words.
        start_mm: True place where the tape began, in vehicle axes.
        end_mm: True place where it ended.
        read_mm: What was read.
        true_mm: What it really is.
    """

    name: str
    start_mm: Place
    end_mm: Place
    read_mm: float
    true_mm: float


@dataclass(frozen=True, kw_only=True)
class DemoScenario:
    """Everything that the demo job starts from.

    Args:
        shop: Name of the workshop.
        car_name: Name of the car.
        bender: Name of the machine.
        scan_file: Name of the scan's file.
        scan_unit: Unit in which it is written.
        car: The car that is scanned.
        sample_bends: File name to TOML text, one for each die.
        tape: Distances read in the car.
    """

    shop: str
    car_name: str
    bender: str
    scan_file: str
    scan_unit: str
    car: DemoCar
    sample_bends: MappingProxyType[str, str]
    tape: tuple[TapeReading, ...]


def hidden_dies() -> tuple[HiddenDie, HiddenDie]:
    """The two dies of the demo: one for 45 x 2.5, one for 38 x 2.5."""
    return (
        HiddenDie(
            name="45",
            batch="H-2231",
            od_mm=45.0,
            wall_mm=2.5,
            clr_mm=137.5,
            used_per_deg_mm=2.3556,
            start_offset_mm=11.5,
            springback_constant_deg=0.78,
            springback_per_command_deg=0.0301,
        ),
        HiddenDie(
            name="38",
            batch="H-1874",
            od_mm=38.0,
            wall_mm=2.5,
            clr_mm=114.8,
            used_per_deg_mm=1.9676,
            start_offset_mm=12.6,
            springback_constant_deg=0.84,
            springback_per_command_deg=0.0287,
        ),
    )


def demo_scenario(car: DemoCar | None = None) -> DemoScenario:
    """The demo job; the same car gives the same readings."""
    scanned = car or DemoCar()
    bends = {
        f"samples_{die.od_mm:.0f}.toml": sample_bends_toml(die, seed=scanned.seed) for die in hidden_dies()
    }
    return DemoScenario(
        shop=SHOP_NAME,
        car_name=CAR_NAME,
        bender=BENDER_NAME,
        scan_file=SCAN_FILE_NAME,
        scan_unit=SCAN_UNIT,
        car=scanned,
        sample_bends=MappingProxyType(bends),
        tape=read_tape(true_distances(true_landmarks(scanned)), seed=scanned.seed),
    )


def read_tape(distances: tuple[TrueDistance, ...], *, seed: int) -> tuple[TapeReading, ...]:
    """Read true distances as a person does: to half a millimetre, and under 1 mm per metre off."""
    rng = np.random.Generator(np.random.PCG64([seed, 101]))
    return tuple(_read(distance, rng) for distance in distances)


def _read(distance: TrueDistance, rng: np.random.Generator) -> TapeReading:
    per_metre = float(
        np.clip(rng.normal(scale=_TAPE_SD_MM_PER_M), -_TAPE_WORST_MM_PER_M, _TAPE_WORST_MM_PER_M)
    )
    return TapeReading(
        name=distance.name,
        start_mm=distance.start_mm,
        end_mm=distance.end_mm,
        read_mm=_to_mark(distance.distance_mm * (1.0 + per_metre / 1000.0), _TAPE_MARK_MM),
        true_mm=distance.distance_mm,
    )


def sample_bends_toml(die: HiddenDie, *, seed: int) -> str:
    """Sample bends of one die as the sample-bend file has them, with small reading errors.

    Two 90 degree samples with measured legs, one U, four angles read under load and after release. With
    stock S, mark m, diameter D, radius R, offset o and w tube used for 90 degrees: legs
    a = m + o + R + D/2 and b = S - m - o - w + R + D/2; over the U 2 R + D.

    Source: square-and-rule method of trade instructions; equations derived.
    """
    rng = np.random.Generator(np.random.PCG64([seed, round(10.0 * die.od_mm)]))
    head = (
        f'name = "{die.od_mm:g} x {die.wall_mm:g} of {SAMPLE_DAY}"\ndie = "{die.name}"\nbatch = "{die.batch}"\n'
        f'date = "{SAMPLE_DAY}"\nod_mm = {die.od_mm}\nwall_mm = {die.wall_mm}\n'
    )
    outside = _length(2.0 * die.clr_mm + die.od_mm, rng)
    tables = [*_angles(die, rng), *_legs(die, rng), f"[[u]]\noutside_mm = {outside}\n"]
    return "\n".join([head, *tables])


def _angles(die: HiddenDie, rng: np.random.Generator) -> Iterator[str]:
    for command in (20.0, 45.0, 90.0, 120.0):
        springback = die.springback_constant_deg + die.springback_per_command_deg * command
        released = _to_mark(command - springback + rng.normal(scale=_GAUGE_SD_DEG), _GAUGE_MARK_DEG)
        yield f"[[angle]]\ncommand_deg = {command}\nreleased_deg = {released}\n"


def _legs(die: HiddenDie, rng: np.random.Generator) -> Iterator[str]:
    reach = die.clr_mm + die.od_mm / 2.0
    for cut, mark in ((900.0, 300.0), (1000.0, 420.0)):
        leg_a = _length(mark + die.start_offset_mm + reach, rng)
        leg_b = _length(cut - mark - die.start_offset_mm - 90.0 * die.used_per_deg_mm + reach, rng)
        yield (
            f"[[leg]]\ncut_mm = {cut}\nmark_mm = {mark}\nreleased_deg = 90.0\n"
            f"leg_a_mm = {leg_a}\nleg_b_mm = {leg_b}\n"
        )


def _length(true_mm: float, rng: np.random.Generator) -> float:
    return _to_mark(true_mm + rng.normal(scale=_LEG_SD_MM), _TAPE_MARK_MM)


def _to_mark(value: float, mark: float) -> float:
    """To the nearest mark of the scale, free of rounding dust."""
    return round(round(value / mark) * mark, 3)
