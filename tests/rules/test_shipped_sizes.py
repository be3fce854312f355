"""Sizes of the shipped books against the tables of the books themselves; each source is named beside its numbers."""

import pytest
from tests.rules.shipped import FOLDER

from hoopwright.rules.reading import read_book

INCH_MM, POUND_KG = 25.4, 0.45359237


def rules_of(name, kind):
    return [rule for rule in read_book(FOLDER / f"{name}.toml").rules if rule.kind == kind]


def sizes(listed, per_mm=1.0):
    return {(round(size.tube.od_mm / per_mm, 4), round(size.tube.wall_mm / per_mm, 4)) for size in listed}


def limits_of(name, rule_id):
    return next(rule.limits for rule in read_book(FOLDER / f"{name}.toml").rules if rule.rule_id == rule_id)


def test_fia_and_motorsport_uk():
    # Appendix J 2009, Art. 253, 8.3.3, page 14, as quoted
    assert sizes(limits_of("fia-253-2009", "main-or-lateral").sizes) == {(45, 2.5), (50, 2)}
    assert sizes(limits_of("fia-253-2009", "other-parts").sizes) == {(38, 2.5), (40, 2)}
    # Motorsport UK NCR 2026, chapter 7 appendix 3, 20.1
    must, may = limits_of("msuk-ncr-2026", "mandatory-size"), limits_of("msuk-ncr-2026", "optional-size")
    assert sizes(must.sizes) == {(45, 2.5), (50, 2)}
    assert sizes(must.also, INCH_MM) == {(1.75, 0.095), (2.0, 0.083)}
    assert sizes(may.sizes) == {(38, 2.5), (40, 2)}
    assert sizes(may.also, INCH_MM) == {(1.5, 0.095), (1.6, 0.083)}


BANDS = {
    # GCR 2008 and 2009, 9.4.F, as quoted; printed as 1701 to 2699 and from 2700
    "scca-gcr-2008-2009": [
        (1700, [(1.375, 0.080)]),
        (2700, [(1.5, 0.095), (1.625, 0.080)]),
        (None, [(1.75, 0.095), (1.625, 0.120)]),
    ],
    # GCR 2008, 9.4.5.E, as quoted
    "scca-gcr-2008-formula": [
        (1500, [(1.375, 0.095)]),
        (2500, [(1.5, 0.095)]),
        (None, [(1.5, 0.120), (1.625, 0.120), (1.75, 0.095)]),
    ],
    # BMW CCA Club Racing, appendix A, a summary
    "bmwcca-club-racing-a": [
        (1500, [(1.375, 0.095)]),
        (2500, [(1.5, 0.095)]),
        (3000, [(1.5, 0.120), (1.75, 0.095)]),
        (4000, [(1.75, 0.120)]),
        (None, [(2.0, 0.120)]),
    ],
    # PCA Club Racing, appendix A, mild steel, a summary
    "pca-club-racing-a": [(2500, [(1.5, 0.095)]), (None, [(1.75, 0.095), (1.5, 0.120)])],
    # ChampCar 3.2, a summary
    "champcar-3": [(2500, [(1.5, 0.095)]), (None, [(1.75, 0.095), (1.5, 0.120)])],
}


@pytest.mark.parametrize("name", BANDS)
def test_bands_by_weight(name):
    (rule,) = (rule for rule in rules_of(name, "tube size") if rule.limits.bands)
    bands = rule.limits.bands
    edges = [band.most_kg if band.most_kg is not None else band.below_kg for band in bands]
    assert [None if kg is None else round(kg / POUND_KG, 6) for kg in edges] == [
        most for most, _ in BANDS[name]
    ]
    for band, (_, wanted) in zip(bands, BANDS[name], strict=True):
        # sizes for a named steel may stand beside the plain ones
        assert sizes((one for one in band.sizes if not one.steel), INCH_MM) == set(wanted)


def test_relaxation_and_edges():
    relax = limits_of("scca-gcr-2008-2009", "tube-size").relax
    assert (relax.od_over_mm / INCH_MM, relax.wall_mm / INCH_MM) == pytest.approx((0.250, 0.080), rel=1e-12)
    (pca,) = (rule for rule in rules_of("pca-club-racing-a", "tube size") if rule.limits.bands)
    assert pca.limits.bands[0].below_kg is not None  # the summary prints "under 2500"


def test_rally_in_america():
    # ARA Rally Technical Rules 2026, 2.2.2, a summary: DOM, and Docol R8 of a thinner wall
    found = [sizes(rule.limits.sizes, INCH_MM) for rule in rules_of("ara-rally-2026", "tube size")]
    assert {(1.75, 0.095), (1.75, 0.083)} in found
    assert {(1.5, 0.095), (1.5, 0.083)} in found


@pytest.mark.parametrize(
    ("name", "rule_id", "wanted"),
    [
        # Formula SAE Rules 2024, F.3.4.1
        ("fsae-2024", "size-a", (11320, 173, 25.0, 2.0)),
        ("fsae-2024", "size-b", (8509, 114, 25.0, 1.2)),
        ("fsae-2024", "size-c", (6695, 91, 25.0, 1.2)),
        # Formula Student UK, T3.2.1
        ("formula-student-uk-undated", "size-hoops", (11320, 173, None, 2.0)),
        ("formula-student-uk-undated", "size-side", (8509, 119, None, 1.2)),
        ("formula-student-uk-undated", "size-supports", (6695, 91, None, 1.2)),
    ],
)
def test_sections_of_the_student_competitions(name, rule_id, wanted):
    limits = limits_of(name, rule_id)
    assert (limits.i_least_mm4, limits.area_least_mm2, limits.od_least_mm, limits.wall_least_mm) == wanted
