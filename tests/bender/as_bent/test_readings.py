"""The bar from what was read on each bend."""

import numpy as np
import pytest

from hoopwright.bars import bend_table
from hoopwright.bender.as_bent import BendReading, bar_from_readings
from hoopwright.findings import UserError


def as_drawn(bar):
    table = bend_table(bar)
    rows = zip(table.angles_deg, table.rotations_deg, strict=True)
    return [
        BendReading(bend=k, angle_deg=angle, rotation_deg=turn)
        for k, (angle, turn) in enumerate(rows, start=1)
    ]


@pytest.mark.parametrize("which", ["hoop", "side_bar"])
def test_bends_as_on_the_sheet_make_the_drawn_bar(which, request):
    bar = request.getfixturevalue(which)
    read = bar_from_readings(bar, as_drawn(bar))
    assert read.bar.nodes == pytest.approx(bar.nodes, abs=1e-6)
    assert read.findings == ()


def test_readings_come_back_as_the_bend_table(side_bar):
    read = bar_from_readings(
        side_bar,
        [BendReading(bend=1, angle_deg=32.4), BendReading(bend=2, angle_deg=49.1, rotation_deg=-26.0)],
    )
    table = bend_table(read.bar)
    assert table.angles_deg == pytest.approx((32.4, 49.1), abs=1e-9)
    assert table.rotations_deg == pytest.approx((0.0, -26.0), abs=1e-9)
    # the marks, and so the length of tube between the trim marks, do not change
    assert table.developed_mm == pytest.approx(bend_table(side_bar).developed_mm, abs=1e-9)


def test_ends_are_held_where_they_stand(side_bar):
    read = bar_from_readings(
        side_bar, [BendReading(bend=1, angle_deg=33.0), BendReading(bend=2, angle_deg=49.76)]
    )
    ours, drawn = read.bar.nodes, side_bar.nodes
    assert (ours[0] + ours[-1]) / 2.0 == pytest.approx((drawn[0] + drawn[-1]) / 2.0, abs=0.02)
    assert np.cross(ours[-1] - ours[0], drawn[-1] - drawn[0]) == pytest.approx(np.zeros(3), abs=60.0)


def test_node_uncertainty_is_that_of_a_simulation(side_bar):
    rng, nodes = np.random.default_rng(3), []
    base = as_drawn(side_bar)
    for _ in range(400):
        turn = base[1].rotation_deg + rng.normal(0.0, 0.3)
        nodes.append(
            bar_from_readings(
                side_bar,
                [
                    BendReading(bend=1, angle_deg=base[0].angle_deg + rng.normal(0.0, 0.1)),
                    BendReading(
                        bend=2, angle_deg=base[1].angle_deg + rng.normal(0.0, 0.1), rotation_deg=turn
                    ),
                ],
            ).bar.nodes
        )
    spread = np.sqrt(np.var(nodes, axis=0).sum(axis=1))
    assert bar_from_readings(side_bar, base).node_sds_mm == pytest.approx(spread, rel=0.15, abs=0.01)


def test_a_bend_that_was_not_read_is_said(hoop):
    read = bar_from_readings(hoop, [BendReading(bend=2, angle_deg=74.6)])
    assert [finding.code for finding in read.findings] == ["ASBENT-013"]
    assert "1, 3, 4" in read.findings[0].sentence
    assert read.angle_sds_deg[0] > read.angle_sds_deg[1]


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ([BendReading(bend=5, angle_deg=20.0)], "no bend 5"),
        ([BendReading(bend=0, angle_deg=20.0)], "no bend 0"),
        ([BendReading(bend=1, angle_deg=19.0), BendReading(bend=1, angle_deg=18.0)], "twice"),
        ([BendReading(bend=2, angle_deg=106.2)], "32°"),
        ([BendReading(bend=2, angle_deg=float("nan"))], "nan"),
        ([BendReading(bend=1)], "nothing was read"),
        ([], "nothing was read"),
    ],
)
def test_readings_that_cannot_be_are_refused(hoop, readings, words):
    with pytest.raises(UserError) as stop:
        bar_from_readings(hoop, readings)
    assert stop.value.findings[0].code == "ASBENT-006"
    assert words in stop.value.findings[0].sentence
