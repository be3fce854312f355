"""Bends from a few tape distances."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import least_squares

from hoopwright.bars import bend_table, nodes_from_table
from hoopwright.bender import tape_checks
from hoopwright.bender.as_bent import (
    BendErrors,
    Scatter,
    TapeEntry,
    bar_distances,
    bar_with,
    fit_tape,
    table_with,
    what_it_tells,
)
from hoopwright.bender.as_bent.scatter import covariance_deg2, kinds_of
from hoopwright.findings import UserError


def entries(**values):
    return [TapeEntry(key=key.replace("_", " "), tape_mm=value) for key, value in values.items()]


def errors(*angles, rotations=None):
    n = len(angles)
    return BendErrors(angles_deg=angles, rotations_deg=rotations or (0.0,) * n, straights_mm=(0.0,) * (n + 1))


def told_by_kind(bar, **values):
    told = what_it_tells(fit_tape(bar, entries(**values)))
    return told, [one.over_deg for one in told.kinds]


def test_acceptance_shoulders_over(hoop):
    told, (knees, shoulders) = told_by_kind(hoop, feet=1252.0, knees=1317.4)
    assert shoulders == pytest.approx(0.34, abs=0.05)
    assert abs(knees) <= 0.05
    assert told.can_tell


def test_acceptance_knees_over(hoop):
    told, (knees, shoulders) = told_by_kind(hoop, feet=1252.0, knees=1322.7)
    assert knees == pytest.approx(0.60, abs=0.05)
    assert abs(shoulders) <= 0.05
    assert told.can_tell


def test_acceptance_foot_width_alone_cannot_tell(hoop):
    told, _ = told_by_kind(hoop, feet=1252.0)
    assert not told.can_tell
    finding = told.findings[0]
    assert finding.code == "ASBENT-010"
    assert "knees" in finding.sentence
    assert "shoulders" in finding.sentence
    assert told.next_distance.key == "knees"


@pytest.mark.parametrize("which", ["hoop", "side_bar"])
def test_distances_are_those_of_the_sheet(which, request):
    bar = request.getfixturevalue(which)
    sheet = {check.key: check.value_mm for check in tape_checks(bar, bend_table(bar))}
    ours = {distance.key: distance.measure(bar) for distance in bar_distances(bar)}
    wanted = {key: value for key, value in ours.items() if "from B" not in key}
    assert wanted == pytest.approx(sheet, abs=1e-6)


@pytest.mark.parametrize("which", ["hoop", "side_bar"])
def test_distances_do_not_hang_on_where_the_bar_lies(which, request):
    bar = request.getfixturevalue(which)
    lying = bar.with_nodes(nodes_from_table(bend_table(bar)))
    for distance in bar_distances(bar):
        assert distance.measure(lying) == pytest.approx(distance.measure(bar), abs=1e-6)


def test_all_distances_of_a_hoop_find_four_bends_that_differ(hoop):
    truth = errors(0.4, -0.2, 0.25, 0.15)
    made = bar_with(hoop, truth)
    taken = [TapeEntry(key=d.key, tape_mm=d.measure(made)) for d in bar_distances(hoop)]
    fit = fit_tape(hoop, taken, scatter=Scatter(kind_deg=2.0, bend_deg=2.0))
    # each within its own stated uncertainty, with exact readings far within
    off = np.abs(np.subtract(fit.errors.angles_deg, truth.angles_deg))
    assert (off <= np.array(fit.angle_sds_deg)).all()
    assert [d.measure(fit.bar) for d in fit.distances] == pytest.approx([e.tape_mm for e in taken], abs=1.0)


def test_the_estimate_is_that_of_a_reference_least_squares(hoop):
    taken = entries(feet=1256.0, knees=1320.5, diagonal_A=1560.0, diagonal_B=1558.5)
    fit = fit_tape(hoop, taken)
    table, prior = bend_table(hoop), covariance_deg2(kinds_of(hoop, bend_table(hoop)), 4, Scatter())
    root = np.linalg.cholesky(np.linalg.inv(prior)).T
    known = {d.key: d for d in bar_distances(hoop)}

    def off(angles):
        bar = hoop.with_nodes(nodes_from_table(table_with(table, errors(*angles))))
        tape = [(known[e.key].measure(bar) - e.tape_mm) / known[e.key].sd_mm for e in taken]
        return np.array([*tape, *(root @ angles)])

    found = least_squares(off, np.zeros(4), x_scale=0.1, xtol=1e-12, ftol=1e-12, gtol=1e-12)
    assert fit.errors.angles_deg == pytest.approx(found.x, abs=1e-4)
    assert fit.covariance == pytest.approx(np.linalg.inv(found.jac.T @ found.jac), rel=1e-3, abs=1e-6)


def test_stated_uncertainty_covers_simulated_bars(hoop):
    """Bars drawn from the prior, measured with the tape's scatter: errors over stated sd have a spread of one."""
    rng = np.random.default_rng(5)
    prior = covariance_deg2(kinds_of(hoop, bend_table(hoop)), 4, Scatter())
    scores = []
    for _ in range(30):
        truth = rng.multivariate_normal(np.zeros(4), prior)
        made = bar_with(hoop, errors(*truth))
        taken = [
            TapeEntry(key=d.key, tape_mm=d.measure(made) + rng.normal(0.0, d.sd_mm))
            for d in bar_distances(hoop)[:3]
        ]
        fit = fit_tape(hoop, taken)
        scores.append(np.subtract(fit.errors.angles_deg, truth) / fit.angle_sds_deg)
    assert np.std(scores) == pytest.approx(1.0, abs=0.25)


def test_next_distance_keeps_its_promise(hoop):
    told = what_it_tells(fit_tape(hoop, entries(feet=1260.0)))
    drawn = {d.key: d.measure(hoop) for d in bar_distances(hoop)}
    after = {}
    for key in ("knees", "height", "diagonal A", "diagonal B"):
        fit = fit_tape(hoop, [*entries(feet=1260.0), TapeEntry(key=key, tape_mm=drawn[key])])
        after[key] = max(kind.sd_deg for kind in what_it_tells(fit).kinds)
    assert min(after, key=after.get) == told.next_distance.key
    assert after[told.next_distance.key] == pytest.approx(told.next_distance.sd_deg, rel=0.15)


def test_rotation_of_a_side_bar_is_found_from_twist(side_bar):
    truth = errors(0.3, -0.4, rotations=(0.0, 0.8))
    made = bar_with(side_bar, truth)
    wanted = {"reach", "back 1", "back 2", "back 1 from B", "twist"}
    taken = [
        TapeEntry(key=d.key, tape_mm=d.measure(made)) for d in bar_distances(side_bar) if d.key in wanted
    ]
    fit = fit_tape(side_bar, taken, rotations=True)
    assert fit.errors.rotations_deg[1] == pytest.approx(0.8, abs=0.2)
    assert fit.errors.angles_deg == pytest.approx((0.3, -0.4), abs=0.15)


def test_a_bend_that_turns_more_takes_tube_from_its_neighbours(hoop):
    table = bend_table(hoop)
    for taken in ((), ("after",) * 4, ("before",) * 4):
        made = table_with(table, errors(0.5, -1.0, 2.0, 0.3), taken)
        assert made.developed_mm == pytest.approx(table.developed_mm, abs=1e-9)
    made = table_with(table, errors(0.0, 1.0, 0.0, 0.0), ("after",) * 4)
    assert made.straights_mm[:2] == pytest.approx(table.straights_mm[:2])


def test_shoulders_that_are_not_alike_are_said(hoop):
    made = bar_with(hoop, errors(0.0, -0.5, 1.0, 0.0))
    taken = [TapeEntry(key=d.key, tape_mm=d.measure(made)) for d in bar_distances(hoop)]
    told = what_it_tells(fit_tape(hoop, taken))
    (unlike,) = [finding for finding in told.findings if finding.code == "ASBENT-014"]
    assert "shoulders" in unlike.sentence


@pytest.mark.parametrize(
    ("values", "code", "words"),
    [
        ({"feet": 49.29}, "ASBENT-003", 'type 49.29"'),
        ({"feet": 125.2}, "ASBENT-003", "125.2 cm"),
        ({"feet": 31800.8}, "ASBENT-003", "1252"),
        ({"feet": float("nan")}, "ASBENT-003", "Measure it again"),
        ({"feet": float("inf")}, "ASBENT-003", "Measure it again"),
        ({"feet": -1252.0}, "ASBENT-003", "Measure it again"),
        ({"height": 1150.0}, "ASBENT-003", "between"),
        ({"hip": 1252.0}, "ASBENT-001", "feet, knees, height"),
        ({}, "ASBENT-001", "feet, knees, height"),
        ({"feet": 1252.0, "knees": 1317.4, "diagonal_A": 1585.0}, "ASBENT-004", "diagonal A"),
    ],
)
def test_bad_input_stops_with_what_to_do(hoop, values, code, words):
    with pytest.raises(UserError) as stop:
        fit_tape(hoop, entries(**values))
    assert stop.value.findings[0].code == code
    assert words in stop.value.findings[0].sentence + stop.value.findings[0].todo


def test_one_name_twice_is_refused(hoop):
    with pytest.raises(UserError) as stop:
        fit_tape(hoop, [TapeEntry(key="feet", tape_mm=1252.0), TapeEntry(key="Feet ", tape_mm=1253.0)])
    assert "typed twice" in stop.value.findings[0].sentence


def test_a_straight_bar_has_nothing_to_tell(hoop):
    straight = replace(hoop, nodes_mm=((0.0, 0.0, 0.0), (0.0, 0.0, 900.0)))
    with pytest.raises(UserError) as stop:
        fit_tape(straight, entries(reach=900.0))
    assert stop.value.findings[0].code == "ASBENT-005"
