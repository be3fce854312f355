"""Corners merged bit for bit, held against numpy's own unique."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hoopwright.shell.weld import weld_corners


def check(soup):
    points, triangles = weld_corners(soup)
    flat = soup.reshape(-1, 3) + np.float32(0.0)  # -0 becomes 0, nothing else changes
    assert np.array_equal(points[triangles].reshape(-1, 3), flat)
    # numpy.unique on the bits counts places without any notion of nearness
    assert len(points) == len(np.unique(flat.view(np.uint32), axis=0))
    assert len(np.unique(points + np.float32(0.0), axis=0)) == len(points)
    assert set(triangles.ravel()) == set(range(len(points)))
    return points, triangles


def lattice(seed, count, spread):
    rng = np.random.default_rng(seed)
    return rng.integers(-spread, spread + 1, (count, 3, 3)).astype(np.float32)


@pytest.mark.parametrize(("count", "spread"), [(1, 1), (2, 1), (500, 3), (40_000, 12), (40_000, 40)])
def test_same_places_become_one(count, spread):
    check(lattice(1, count, spread))


def test_a_soup_where_no_corner_repeats_outgrows_the_first_table():
    rng = np.random.default_rng(2)
    soup = rng.random((30_000, 3, 3), dtype=np.float32)
    points, _ = check(soup)
    assert len(points) > 89_000


def test_minus_zero_is_zero_but_neighbouring_floats_are_not_merged():
    one = np.float32(1.0)
    soup = np.array([[[-0.0, 0.0, 1.0], [0.0, -0.0, one], [0.0, 0.0, np.nextafter(one, np.float32(2.0))]]])
    points, triangles = check(soup.astype(np.float32))
    assert triangles[0, 0] == triangles[0, 1] != triangles[0, 2]
    assert len(points) == 2


def test_tiny_and_huge_numbers_keep_their_bits():
    values = np.array([1e-45, -1e-45, 3e38, -3e38, 1e-38, 1.0, -1.0, 0.0, 5e6], dtype=np.float32)
    check(np.random.default_rng(3).choice(values, (2000, 3, 3)))


def test_the_order_is_that_of_first_appearance_every_time():
    soup = lattice(4, 20_000, 15)
    first = weld_corners(soup)
    again = weld_corners(soup.copy())
    assert np.array_equal(first[0], again[0])
    assert np.array_equal(first[1], again[1])
    flat_index = first[1].ravel()
    _, appears = np.unique(flat_index, return_index=True)
    assert (np.diff(appears) > 0).all()


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.lists(
            st.sampled_from([0.0, -0.0, 1.0, -1.0, 1e-40, 2.5, 1e30, 1.0000001]), min_size=9, max_size=9
        ),
        min_size=1,
        max_size=40,
    )
)
def test_any_small_soup(rows):
    check(np.array(rows, dtype=np.float32).reshape(-1, 3, 3))
