"""Bars typed by their nodes, and the measures that a rule book is given of them."""

from hoopwright.bars import Node
from hoopwright.cage import End, Member, Role
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
THIN = TubeSize(od_mm=38.0, wall_mm=2.5)
TOP, FOOT = 1100.0, 0.0
HOOP: tuple[Node, ...] = (
    (-1000.0, 600.0, FOOT),
    (-1000.0, 600.0, TOP),
    (-1000.0, -600.0, TOP),
    (-1000.0, -600.0, FOOT),
)
ON_MH = End(kind="bar", on="MH")
SHELL = End(kind="shell")


def bar(name, role, nodes, end_a=None, end_b=None, **more):
    return Member(
        member_id=name,
        role=role,
        nodes_mm=nodes,
        tube=more.pop("tube", THIN),
        die="x",
        clr_mm=more.pop("clr_mm", 137.5),
        end_a=end_a or End(),
        end_b=end_b or End(),
        **more,
    )


def hoop(**more):
    return bar("MH", Role.MAIN_HOOP, HOOP, SHELL, SHELL, tube=TUBE, **more)


def measure(found, name, about):
    return [one for one in found.measures if (one.name, one.about) == (name, about)]


def one_measure(found, name, about):
    (one,) = measure(found, name, about)
    return one
