"""Papers as they are printed, to be looked at before they are."""

import datetime as dt
from collections.abc import Sequence

from hoopwright.bender.step_poses import step_poses
from hoopwright.jobs.calibrations import calibrations_at_hand
from hoopwright.jobs.drawings import car_lines
from hoopwright.jobs.sheets import SheetWishes, sheet_of
from hoopwright.jobs.shells import open_whole_shell
from hoopwright.jobs.shop_at_hand import shop_at_hand
from hoopwright.joints import FlatPart, Wrap
from hoopwright.papers import A4, LETTER, Page, PaperSize, bar_pages, flat_part_pages, svg_text, wrap_pages
from hoopwright.progress import Progress, silent
from hoopwright.store import ProjectFolder
from hoopwright.units import LengthUnit


def wrap_preview(wrap: Wrap, *, project: str, unit: LengthUnit = "mm", paper: str = "A4") -> tuple[str, ...]:
    """Pages of a cope's wrap as SVG, the same as on paper.

    Args:
        wrap: The cope unrolled.
        project: Name of the project.
        unit: Unit of the figures.
        paper: `A4` or `letter`.
    """
    return as_svg(wrap_pages([wrap], _size(paper), project=project, date=today(), unit=unit))


def part_preview(
    part: FlatPart, *, project: str, unit: LengthUnit = "mm", paper: str = "A4"
) -> tuple[str, ...]:
    """Pages of a plate as SVG, the same as on paper."""
    return as_svg(flat_part_pages([part], _size(paper), project=project, date=today(), unit=unit))


def sheet_preview(
    folder: ProjectFolder,
    bar_id: str,
    *,
    unit: LengthUnit = "mm",
    paper: str = "A4",
    placeholder: bool = False,
    progress: Progress = silent,
) -> tuple[str, ...]:
    """Pages of one bar's sheet as it would be issued now, as SVG; nothing is issued.

    Args:
        folder: The project.
        bar_id: The bar.
        unit: Unit of the large figures.
        paper: `A4` or `letter`.
        placeholder: Whether a bar without a calibration is shown stamped "not calibrated".
        progress: Told how far it is.

    Raises:
        UserError: As for issuing, but for the size of the scan, which only issuing needs.
    """
    project = folder.open().project
    member = project.cage.member(bar_id)
    last = project.last_issued(bar_id)
    wishes = SheetWishes(
        date=today(),
        order=None if last is None else last.order,
        swings=None if last is None else last.swings,
        placeholder=placeholder,
    )
    sheet = sheet_of(project, member, calibrations_at_hand(folder, [member]), wishes, shop_at_hand())
    shell = open_whole_shell(folder, project, progress=progress) if project.scan else None
    progress("drawing the sheet", 0.8)
    lines = car_lines(project.cage, shell)
    pages = bar_pages(
        sheet, lines, project=project.name, unit=unit, paper=_size(paper), poses=step_poses(sheet)
    )
    return as_svg(pages)


def as_svg(pages: Sequence[Page]) -> tuple[str, ...]:
    """Pages as SVG documents."""
    return tuple(svg_text(page) for page in pages)


def _size(paper: str) -> PaperSize:
    return LETTER if paper == "letter" else A4


def today() -> str:
    """The day, ISO 8601."""
    return dt.datetime.now(tz=dt.UTC).astimezone().date().isoformat()


def now() -> str:
    """Day and time, ISO 8601, in the local time zone, to the second."""
    return dt.datetime.now(tz=dt.UTC).astimezone().isoformat(timespec="seconds")
