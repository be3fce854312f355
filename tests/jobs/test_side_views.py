"""The picture beside the question which end of a scan is the nose."""

import re

import numpy as np
import pytest

from hoopwright.geometry import Transform
from hoopwright.jobs.side_views import side_view_svg
from hoopwright.shell.surfels import Surfels


def wall(tall_end):
    """Metal at left -600, 3000 long: 1200 high at the end `tall_end` (0 the front, 1 the rear), 600 at the other."""
    forward, up = np.meshgrid(np.arange(-3000.0, 1.0, 10.0), np.arange(0.0, 1201.0, 10.0))
    share = -forward / 3000.0 if tall_end else 1.0 + forward / 3000.0
    there = up <= 600.0 + 600.0 * share
    middle = np.stack([forward[there], np.full(there.sum(), -600.0), up[there]], axis=1)
    none = np.zeros(len(middle))
    return Surfels(
        cell_mm=10.0,
        middle_mm=middle,
        normal=middle,
        area_mm2=none,
        flatness=none,
        cell=np.zeros((len(middle), 3), dtype=np.int32),
        of_triangle=np.zeros(0, dtype=np.int32),
    )


@pytest.mark.parametrize("tall_end", [0, 1])
def test_the_end_that_stands_at_a_name_is_the_end_that_the_name_means(tall_end):
    svg = side_view_svg(wall(tall_end), Transform.identity("scan", "vehicle"), nose="-x", tail="+x")
    dots = np.array([(int(x), int(y)) for x, y in re.findall(r"M(\d+) (\d+)h1", svg)])
    left, right = dots[dots[:, 0] == dots[:, 0].min()], dots[dots[:, 0] == dots[:, 0].max()]
    # the nose is drawn to the left; the drawing's y runs downwards
    tall, low = (right, left) if tall_end else (left, right)
    assert tall[:, 1].min() == 0
    assert len(tall) > 1.8 * len(low)
    words = dict(re.findall(r'<text x="([-\d.]+)"[^>]*>([^<]+)</text>', svg))
    at_left, at_right = (words[key] for key in sorted(words, key=float))
    assert (at_left, at_right) == ("-x ←", "→ +x")


def test_a_scan_of_any_size_is_drawn_in_ninety_cells():
    long = wall(0)
    svg = side_view_svg(long, Transform.identity("scan", "vehicle"), nose="+y", tail="-y")
    across = [int(x) for x, _ in re.findall(r"M(\d+) (\d+)h1", svg)]
    assert max(across) - min(across) in (89, 90)
