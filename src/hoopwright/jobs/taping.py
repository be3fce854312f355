"""Distances taped on a finished bar, kept with the records of its stick."""

from hoopwright.bender.rescue.records import Record, Taped
from hoopwright.bender.rescue.standing import Standing
from hoopwright.bender.rescue.taping import placed, refuse_overtaken
from hoopwright.jobs.bend_answers import Bending, Sent, take_in
from hoopwright.jobs.sticks import BendWishes
from hoopwright.progress import Progress, silent
from hoopwright.store import ProjectFolder


def take_distance(
    folder: ProjectFolder,
    bar_or_code: str,
    taped: Taped,
    wishes: BendWishes,
    *,
    over: str | None = None,
    progress: Progress = silent,
) -> Bending:
    """Keep a distance that was taped on the finished bar; one of the same name takes the place of the one before.

    Args:
        folder: The project.
        bar_or_code: The bar, or the code on its sheet.
        taped: The distance, by its short name.
        wishes: How the bar is bent.
        over: Key of the record of that name that the device had before it; empty for none, None where it does not say.
        progress: Told how far it is.

    Raises:
        UserError: As `look`; `BEND-004` while the bar is not bent, `ASBENT-001` and `ASBENT-003` for what cannot be,
            `BEND-003` where another device taped it meanwhile, `BEND-005`. Nothing is written then.
    """

    def record(now: Standing, _: tuple[Record, ...]) -> Record:
        kept = placed(now, taped)
        refuse_overtaken(now, kept, over)
        return kept

    def same(had: Record) -> bool:
        return isinstance(had, Taped) and (_name(had), had.measured_mm) == (_name(taped), taped.measured_mm)

    sent = Sent(key=taped.key, make=record, same=same, of_bends=False)
    return take_in(folder, bar_or_code, wishes, sent, progress)


def _name(taped: Taped) -> str:
    return " ".join(taped.name.lower().split())
