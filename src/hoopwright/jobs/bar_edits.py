"""What a bar is made of and what its ends land on, changed in a project."""

from dataclasses import replace

from hoopwright.cage import Cage, End, EndLetter, Role
from hoopwright.cage.edits import replace_member
from hoopwright.cage.shape_edits import put_end, put_tube
from hoopwright.findings import Finding, UserError
from hoopwright.jobs.cage_bars import radius_inside
from hoopwright.jobs.cage_edits import edit_cage
from hoopwright.store import ProjectFolder
from hoopwright.tubes import TubeSize


def set_bar_end(folder: ProjectFolder, bar_id: str, letter: EndLetter, end: End) -> tuple[Finding, ...]:
    """Say what an end lands on, its trim and its landing; that of its mirror goes with it.

    Raises:
        UserError: `CAGE-001`, `CAGE-003`, `CAGE-026`.
    """
    return edit_cage(folder, lambda cage: put_end(cage, bar_id, letter, end), bar_id)


def set_bar_tube(
    folder: ProjectFolder, bar_id: str, *, tube: TubeSize, die: str, clr_mm: float
) -> tuple[Finding, ...]:
    """Give a bar and its mirror another tube, die or radius; ends that land on it go along.

    Raises:
        UserError: `CAGE-001`, `CAGE-025`, `BAR-001` to `BAR-004`.
    """
    bent = len(folder.open().project.cage.member(bar_id).nodes_mm) != 2
    if bent and not clr_mm > tube.od_mm / 2.0:
        raise UserError(radius_inside(bar_id, clr_mm, tube))
    return edit_cage(
        folder,
        lambda cage: put_tube(cage, bar_id, tube=tube, die=die, clr_mm=clr_mm),
        bar_id,
        takes_along=True,
    )


def set_bar_role(folder: ProjectFolder, bar_id: str, role: Role) -> None:
    """Say what a bar is.

    Raises:
        UserError: `CAGE-001`.
    """

    def change(cage: Cage) -> Cage:
        return replace_member(cage, replace(cage.member(bar_id), role=role))

    edit_cage(folder, change)
