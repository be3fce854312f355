"""Sheets filled by hand from the numbers of a known calibration, and a small car to draw."""

import itertools

import numpy as np
import pytest

from hoopwright.bars import Bar, bend_table, mirrored
from hoopwright.bender.sheet import BarSheet, BendStep, TapeCheck
from hoopwright.findings import Finding
from hoopwright.papers.bar_pictures import axis_points
from hoopwright.papers.car_lines import CarBar, CarLines
from hoopwright.papers.drawing import texts
from hoopwright.papers.lettering import text_box
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
CLR_MM, USED_PER_DEG_MM, OFFSET_MM = 137.5, 2.3556, 11.5
HOOP = (
    (-1560, 610, 0),
    (-1560, 640, 620),
    (-1560, 505, 1085),
    (-1560, -505, 1085),
    (-1560, -640, 620),
    (-1560, -610, 0),
)
SIDE = ((-350, 640, 60), (-430, 655, 560), (-880, 525, 1125), (-1560, 505, 1150))
SEVEN = (
    (0, 0, 0),
    (400, 0, 0),
    (760, 250, 60),
    (1150, 280, 330),
    (1500, 20, 420),
    (1900, -60, 700),
    (2300, 150, 780),
    (2600, 500, 640),
    (3050, 520, 500),
)
SECTION = ((680, 0), (680, 620), (556, 1082), (500, 1118), (-500, 1118), (-556, 1082), (-680, 620), (-680, 0))
IDENTITY = "3f9a1c07d2"


def make_bar(name, nodes):
    return Bar(name=name, nodes_mm=tuple(tuple(map(float, n)) for n in nodes), clr_mm=CLR_MM, tube=TUBE)


def make_sheet(bar, *, title, side="", trim=30.0, turn_at=None, checks=(), miss=None, **changes):
    """Numbers by the definitions of `BendStep`; `turn_at` is the step before which the tube is turned."""
    table = bend_table(bar)
    used = tuple(USED_PER_DEG_MM * a for a in table.angles_deg)
    blank = sum(table.straights_mm) + sum(used) + 2 * trim
    starts = [trim + table.straights_mm[0]]
    for u, s in zip(used[:-1], table.straights_mm[1:-1], strict=True):
        starts.append(starts[-1] + u + s)
    order = list(range(len(used)))
    if turn_at is not None:
        order = order[: turn_at - 1] + order[turn_at - 1 :][::-1]
    steps = []
    for number, k in enumerate(order, start=1):
        fed = "A" if turn_at is None or number < turn_at else "B"
        mark = starts[k] - OFFSET_MM if fed == "A" else starts[k] + used[k] + OFFSET_MM
        rotation = table.rotations_deg[k]
        steps.append(
            BendStep(
                step=number,
                bend=k + 1,
                fed_from=fed,
                turn_end_for_end=number == turn_at,
                start_mm=starts[k],
                mark_mm=mark,
                mark_from_b_mm=blank - mark,
                target_deg=table.angles_deg[k],
                command_deg=(table.angles_deg[k] + 0.777) / (1 - 0.0301),
                command_sd_deg=0.12,
                rotation_step_deg=rotation,
                rotation_total_deg=table.rotations_total_deg[k],
                turn_tube_deg=None if number == 1 else rotation,
                leg_clock=None if number == 1 else (3.0 + rotation / 30.0) % 12.0,
                straight_after_mm=table.straights_mm[k + 1],
            )
        )
    values = {
        "bar": bar,
        "bar_id": bar.name,
        "title": title,
        "side": side,
        "table": table,
        "blank_mm": blank,
        "tube_used_mm": used,
        "trim_a_mm": trim,
        "trim_b_mm": trim,
        "steps": tuple(steps),
        "checks": tuple(checks),
        "wrong_turn_miss_mm": miss,
        "calibration_name": "Cal-1",
        "calibrated": True,
        "die": "45 / R137",
        "batch": "H-20417",
        "identity": IDENTITY,
        "revision": 1,
        "date": "2026-03-01",
    }
    return BarSheet(**(values | changes))


def hoop_sheet(**changes):
    checks = (
        TapeCheck(key="feet", name="outside width over the feet", value_mm=1265.0),
        TapeCheck(key="knees", name="greatest width over the knees", value_mm=1323.1),
        TapeCheck(key="height", name="height over the metal", value_mm=1107.5),
        TapeCheck(key="diagonal", name="diagonal foot A to shoulder B", value_mm=1560.9, critical=False),
    )
    return make_sheet(make_bar("MH", HOOP), title="main hoop", checks=checks, **changes)


def side_sheet(**changes):
    bar = mirrored(make_bar("SB-L", SIDE), "SB-R")
    checks = (TapeCheck(key="ends", name="end A to end B", value_mm=1631.6),)
    return make_sheet(bar, title="side bar", side="R", trim=0.0, miss=471.0, checks=checks, **changes)


def straight_sheet(**changes):
    bar = make_bar("HD", ((-1560, 600, 20), (-1560, -505, 1085)))
    checks = (TapeCheck(key="ends", name="length, end to end", value_mm=1534.7),)
    return make_sheet(bar, title="hoop diagonal", trim=15.0, checks=checks, **changes)


def seven_sheet(**changes):
    checks = tuple(
        TapeCheck(key=f"{k}-{k + 2}", name=f"node {k} to node {k + 2}, over the metal", value_mm=700.0 + k)
        for k in range(5)
    )
    bar = make_bar("TEST-7", tuple((f - 3000, le, u) for f, le, u in SEVEN))
    return make_sheet(
        bar,
        title="seven bends",
        side="L",
        trim=20.0,
        turn_at=5,
        checks=checks,
        miss=812.0,
        revision=3,
        **changes,
    )


def small_car():
    rings = [np.array([(x, le, u) for le, u in SECTION], float) for x in np.linspace(0, -1800, 7)]
    rails = [np.array([(x, *corner) for x in np.linspace(0, -1800, 4)], float) for corner in SECTION]
    backstay = np.array([(-1560, 500, 1080), (-2000, 470, 180)], float)
    hoop, side = make_bar("MH", HOOP), make_bar("SB-L", SIDE)
    right = mirrored(side, "SB-R")
    straight = make_bar("HD", ((-1560, 600, 20), (-1560, -505, 1085)))
    named = (
        (hoop, "main hoop", ""),
        (side, "side bar", "L"),
        (right, "side bar", "R"),
        (straight, "hoop diagonal", ""),
    )
    bars = tuple(
        CarBar(bar_id=b.name, title=t, side=s, centreline=axis_points(b), od_mm=45.0) for b, t, s in named
    )
    stays = tuple(
        CarBar(bar_id=f"BS-{s}", title="backstay", side=s, centreline=backstay * (1, w, 1), od_mm=38.0)
        for s, w in (("L", 1), ("R", -1))
    )
    return CarLines(shell=tuple(rings + rails), bars=bars + stays)


NOTES = (
    Finding(
        code="BEND-021",
        sentence="Bend 2 leaves 61 mm of straight, 1 mm more than the clamp.",
        todo="Clamp with care.",
    ),
)
SHEETS = {
    "hoop": hoop_sheet,
    "side bar": side_sheet,
    "straight": straight_sheet,
    "seven bends": seven_sheet,
    "second issue": lambda: hoop_sheet(revision=2, calibrated=False, findings=NOTES),
}


@pytest.fixture(scope="session")
def car():
    return small_car()


@pytest.fixture(params=sorted(SHEETS))
def sheet(request):
    return SHEETS[request.param]()


@pytest.fixture
def hoop():
    return hoop_sheet()


@pytest.fixture
def sheets():
    return SHEETS


def _overlapping(page):
    boxes = [(text.text, text_box(text)) for text in texts(page.items)]
    return [
        (a, b)
        for (a, one), (b, two) in itertools.combinations(boxes, 2)
        if one.left_mm < two.right_mm
        and two.left_mm < one.right_mm
        and one.top_mm < two.bottom_mm
        and two.top_mm < one.bottom_mm
    ]


@pytest.fixture(scope="session")
def overlapping():
    """Finds words of a page whose boxes lie over each other."""
    return _overlapping
