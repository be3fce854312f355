"""All papers of a cage of 20 bars with 34 coped ends.

python -m benchmarks.papers
"""

import tempfile
from functools import partial
from pathlib import Path

import numpy as np

from benchmarks.timing import best_of, line
from hoopwright.bars import Bar, Node, as_node, centreline
from hoopwright.cage import Cage, End, Member, Role, drawn_bar
from hoopwright.jobs.paper_files import KINDS, PaperKind, PaperWishes, make_papers
from hoopwright.store import Project, ProjectFolder
from hoopwright.tubes import TubeSize

_HOOP_TUBE, _BRACE_TUBE = TubeSize(od_mm=45.0, wall_mm=2.5), TubeSize(od_mm=38.0, wall_mm=2.5)
_HOOP: tuple[Node, ...] = (
    (-2000.0, 610.0, 0.0),
    (-2000.0, 640.0, 620.0),
    (-2000.0, 505.0, 1085.0),
    (-2000.0, -505.0, 1085.0),
    (-2000.0, -640.0, 620.0),
    (-2000.0, -610.0, 0.0),
)
_SIDE: tuple[Node, ...] = ((-800.0, 640.0, 60.0), (-900.0, 655.0, 560.0), (-1330.0, 525.0, 1040.0))
# name, role, header at A and share of its length, header at B and share of its length
_BRACES = (
    ("SC", Role.SCREEN_BAR, "SB-L", 0.60, "SB-R", 0.60),
    ("DA", Role.DASH_BAR, "SB-L", 0.28, "SB-R", 0.28),
    ("HD", Role.HOOP_DIAGONAL, "MH", 0.40, "MH", 0.95),
    ("RB-L", Role.ROOF_BAR, "MH", 0.45, "SC", 0.30),
    ("RB-R", Role.ROOF_BAR, "MH", 0.55, "SC", 0.70),
    ("HB", Role.HARNESS_BAR, "MH", 0.21, "HD", 0.50),
    ("HB-R", Role.HARNESS_BAR, "MH", 0.79, "HD", 0.55),
    *(
        (f"DB1-{side}", Role.DOOR_BAR, f"SB-{side}", 0.20, "MH", at)
        for side, at in (("L", 0.15), ("R", 0.85))
    ),
    *(
        (f"DB2-{side}", Role.DOOR_BAR, f"SB-{side}", 0.10, "MH", at)
        for side, at in (("L", 0.08), ("R", 0.92))
    ),
    *((f"DX-{side}", Role.DOOR_BAR, f"DB1-{side}", 0.50, f"DB2-{side}", 0.70) for side in ("L", "R")),
    *((f"SL-{side}", Role.SILL_BAR, f"SB-{side}", 0.03, "MH", at) for side, at in (("L", 0.03), ("R", 0.97))),
)


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as place:
        folder = ProjectFolder(path=Path(place) / "car")
        cage = twenty_bars()
        folder.create(Project(name="benchmark", cage=cage))
        paper: tuple[PaperKind, ...] = tuple(kind for kind in KINDS if kind not in ("step", "plates"))
        first = _made(folder, paper)
        print(
            f"{len(cage.members)} bars, {sum('end-' in name for name in first)} coped ends, {len(first)} files"
        )
        for kind in paper:
            line(f"{kind} alone", best_of(partial(_made, folder, (kind,)), runs=3), "s", "-")
        line("all but STEP", best_of(lambda: _made(folder, paper), runs=3), "s", "under 15 s")
        line("STEP", best_of(lambda: _made(folder, ("step",)), runs=2), "s", "under 60 s")


def _made(folder: ProjectFolder, kinds: tuple[PaperKind, ...]) -> tuple[str, ...]:
    made = make_papers(folder, PaperWishes(date="2026-01-01", kinds=kinds))
    return tuple(file.name for file in made.files)


def twenty_bars() -> Cage:
    """A cage of 20 bars with 34 coped ends."""
    members = [_member("MH", Role.MAIN_HOOP, _HOOP, _HOOP_TUBE)]
    for side, sign in (("L", 1.0), ("R", -1.0)):
        nodes = [as_node(np.array(node) * (1.0, sign, 1.0)) for node in _SIDE]
        end = _on(members, "MH", 0.42 if side == "L" else 0.58)
        members.append(_member(f"SB-{side}", Role.SIDE_BAR, (*nodes, end), _HOOP_TUBE, b="MH"))
    for name, role, on_a, share_a, on_b, share_b in _BRACES:
        ends = (_on(members, on_a, share_a), _on(members, on_b, share_b))
        members.append(_member(name, role, ends, _BRACE_TUBE, a=on_a, b=on_b))
    for side, sign in (("L", 1.0), ("R", -1.0)):
        ends = (_on(members, "MH", 0.5 - sign * 0.09), (-2800.0, sign * 470.0, 350.0))
        members.append(_member(f"BS-{side}", Role.BACKSTAY, ends, _BRACE_TUBE, a="MH"))
    return Cage(members=tuple(members))


def _on(members: list[Member], name: str, share_ratio: float) -> Node:
    header: Bar = drawn_bar(next(member for member in members if member.member_id == name))
    axis = centreline(header)
    return as_node(axis.at(share_ratio * axis.length_mm)[0])


def _member(
    name: str,
    role: Role,
    nodes: tuple[Node, ...],
    tube: TubeSize,
    *,
    a: str | None = None,
    b: str | None = None,
) -> Member:
    ends = [End(kind="bar", on=on, trim_mm=15.0) if on else End(kind="shell", trim_mm=25.0) for on in (a, b)]
    return Member(
        member_id=name,
        role=role,
        nodes_mm=nodes,
        tube=tube,
        die=f"{tube.od_mm:g}",
        clr_mm=3.0 * tube.od_mm,
        end_a=ends[0],
        end_b=ends[1],
    )


if __name__ == "__main__":
    main()
