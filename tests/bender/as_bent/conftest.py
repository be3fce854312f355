"""A hoop and a side bar whose numbers are in the acceptance of the bender."""

import pytest

from hoopwright.bars import Bar
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)


@pytest.fixture
def hoop():
    nodes = ((0, 610, 0), (0, 640, 620), (0, 505, 1085), (0, -505, 1085), (0, -640, 620), (0, -610, 0))
    return Bar(name="MH", nodes_mm=nodes, clr_mm=137.5, tube=TUBE)


@pytest.fixture
def side_bar():
    nodes = ((-350, 640, 60), (-430, 655, 560), (-880, 525, 1125), (-1560, 505, 1150))
    return Bar(name="SB-L", nodes_mm=nodes, clr_mm=137.5, tube=TUBE)
