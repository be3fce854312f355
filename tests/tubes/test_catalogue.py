"""Sizes and steels on offer: each with a source, and none twice."""

from hoopwright.tubes import common_steels, section_properties, sold_sizes


def test_no_size_is_there_twice_and_each_has_a_source():
    sizes = sold_sizes()
    assert len({(one.tube.od_mm, one.tube.wall_mm) for one in sizes}) == len(sizes)
    assert all(one.source for one in (*sizes, *common_steels()))


def test_mass_of_common_sizes():
    # kg/m as dealers' tables to EN 10305-1 print them; from memory
    published = {
        "25 x 2.5 mm": 1.39,
        "38 x 2.5 mm": 2.19,
        "40 x 2 mm": 1.87,
        "45 x 2.5 mm": 2.62,
        "50 x 2 mm": 2.37,
    }
    ours = {one.words: round(section_properties(one.tube).kg_per_m, 2) for one in sold_sizes()}
    assert {words: ours[words] for words in published} == published


def test_strengths_in_their_own_units():
    # ASTM A519, cold worked 1020: 60 and 70 ksi; 1 ksi = 6.894757 MPa
    (steel,) = [one for one in common_steels() if one.name == "1020 cold worked"]
    assert (round(60 * 6.894757), round(70 * 6.894757)) == (steel.yield_mpa, steel.tensile_mpa)
