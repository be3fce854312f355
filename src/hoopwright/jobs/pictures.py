"""Shaded pictures of the cage in the shell."""

from hoopwright.jobs.drawings import cage_picture
from hoopwright.jobs.shells import display_of, open_shell, scan_record
from hoopwright.papers.picture import CutAway
from hoopwright.progress import Progress, silent
from hoopwright.store import ProjectFolder
from hoopwright.store.writing import make_folder, write_whole

_VIEWS: tuple[tuple[str, "CutAway", tuple[float, float, float]], ...] = (
    ("cage-from-front-left", "left", (-0.72, -0.58, -0.38)),
    ("cage-from-rear-left", "left", (0.66, -0.62, -0.42)),
    ("cage-from-the-left", "left", (-0.05, -0.99, -0.10)),
    ("cage-from-the-right", "right", (-0.05, 0.99, -0.10)),
    ("cage-from-behind", "rear", (0.99, -0.05, -0.10)),
    ("cage-from-above", "top", (-0.30, -0.25, -0.92)),
)


def draw_pictures(folder: ProjectFolder, *, progress: Progress = silent) -> tuple[str, ...]:
    """Pictures from six sides, as PNG in the project's papers.

    Returns:
        The files, relative to the project.

    Raises:
        UserError: `SCAN-014` without a scan, `STORE-002` when they cannot be written.
    """
    project = folder.open().project
    shell = open_shell(folder, project, progress=progress)
    progress("thinning the scan for drawing", 0.1)
    display = display_of(folder, scan_record(project), shell)
    make_folder(folder.papers)
    names = []
    for number, (name, cut_away, looking) in enumerate(_VIEWS):
        progress("drawing pictures", (number + 1) / (len(_VIEWS) + 1))
        picture = cage_picture(project.cage, shell, display, cut_away=cut_away, looking=looking)
        write_whole(folder.papers / f"{name}.png", picture)
        names.append(f"papers/{name}.png")
    progress("pictures drawn", 1.0)
    return tuple(names)
