"""Roots and lowest values of many functions of one number at once."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import elementwise

Numbers = NDArray[np.float64]
Rows = NDArray[np.intp]


def roots(function: Callable[..., Numbers], rows: Rows, low: Numbers, high: Numbers) -> Numbers:
    """A root of each function between two places where its sign differs, to 1e-11.

    Args:
        function: Values at places and rows.
        rows: Which function each is, shape (n,).
        low: One side of each root, shape (n,).
        high: The other side, shape (n,).
    """
    found = elementwise.find_root(
        function,
        (low, high),
        args=(rows,),
        tolerances={"xatol": 1e-11, "xrtol": 0.0, "fatol": 0.0, "frtol": 0.0},
    )
    return np.asarray(found.x, dtype=np.float64)


def lowest(
    function: Callable[..., Numbers], rows: Rows, places: tuple[Numbers, Numbers, Numbers]
) -> tuple[Numbers, Numbers]:
    """Where each function is lowest between three places of which the middle one is the lowest, and its value there.

    Args:
        function: Values at places and rows.
        rows: Which function each is, shape (n,).
        places: Left, middle and right, shape (n,) each.
    """
    found = elementwise.find_minimum(
        function,
        places,
        args=(rows,),
        tolerances={"xatol": 1e-9, "xrtol": 0.0, "fatol": 1e-12, "frtol": 0.0},
    )
    return np.asarray(found.x, dtype=np.float64), np.asarray(found.f_x, dtype=np.float64)
