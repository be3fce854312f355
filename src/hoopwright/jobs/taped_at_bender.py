"""The bar that exists by what was taped on it at the bender, so that nobody types it twice."""

from collections.abc import Collection
from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bender.as_bent import TapeEntry, bar_distances
from hoopwright.bender.rescue.refusals import in_words
from hoopwright.bender.rescue.session import standing
from hoopwright.bender.rescue.standing import Standing
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.as_bent import BentBar, bar_from_tape, drawn_bar_of
from hoopwright.jobs.bent_cage import MOVED_MM
from hoopwright.store import ProjectFolder
from hoopwright.store.bending import last_stick


@dataclass(frozen=True, kw_only=True)
class TapedAtBender:
    """What was taped on the last stick of a bar.

    Args:
        bar_id: The bar.
        stick: Which stick, in words: `stick 1 of revision 2`.
        entries: The distances by their short names.
        at: When the last of them was taped, ISO 8601.
        findings: That the bar was drawn otherwise when the stick was begun.
    """

    bar_id: str
    stick: str
    entries: tuple[TapeEntry, ...]
    at: str
    findings: tuple[Finding, ...]


def taped_at_bender(folder: ProjectFolder, bar_id: str) -> TapedAtBender | None:
    """What was taped at the bender on the last stick of a bar; None where it is not bent or nothing was taped.

    Raises:
        UserError: `CAGE-001`, `CAL-...`; `STORE-...` for a project or records that cannot be read.
    """
    now = _last(folder, bar_id)
    if now is None or now.phase != "done" or not now.taped:
        return None
    drawn = drawn_bar_of(folder, folder.open().project, bar_id)
    known = {one.key for one in bar_distances(drawn)} if drawn.bend_count else set()
    left_out = [one.name for one in now.taped if one.name not in known]
    bent = now.started.job.bar.nodes
    is_other = bent.shape != drawn.nodes.shape or bool(np.abs(bent - drawn.nodes).max() > MOVED_MM)
    return TapedAtBender(
        bar_id=bar_id,
        stick=f"stick {now.started.stick} of revision {now.started.revision}",
        entries=tuple(
            TapeEntry(key=one.name, tape_mm=one.measured_mm) for one in now.taped if one.name in known
        ),
        at=max(one.at for one in now.taped),
        findings=(_drawn_otherwise(now, left_out),) if is_other or left_out else (),
    )


def bar_as_taped(folder: ProjectFolder, bar_id: str, *, also: Collection[str] = ()) -> BentBar:
    """Estimate how the bends of a bar came out from what was taped on it at the bender.

    Args:
        folder: The project.
        bar_id: The bar.
        also: As for `bar_from_tape`.

    Raises:
        UserError: `ASBENT-047` where nothing was taped at the bender; as `bar_from_tape`.
    """
    found = taped_at_bender(folder, bar_id)
    if found is None:
        raise UserError(_nothing(_last(folder, bar_id), bar_id))
    made = bar_from_tape(folder, bar_id, found.entries, also=also)
    return replace(made, taped_on=found.stick, findings=(*found.findings, *made.findings))


def _last(folder: ProjectFolder, bar_id: str) -> Standing | None:
    folder.open().project.cage.member(bar_id)
    stick = last_stick(folder, bar_id)
    return None if stick is None else standing(stick.records)


def _nothing(now: Standing | None, bar_id: str) -> Finding:
    if now is None:
        why = "no stick of it was begun"
    elif now.phase != "done":
        why = f"its stick is not finished: {in_words(now)}"
    else:
        why = "its bends are made, and no distance was typed"
    return Finding(
        code="ASBENT-047",
        severity=Severity.STOP,
        sentence=f"Nothing was taped on bar {bar_id} at the bender: {why}.",
        todo="Give what the tape reads (--tape 'feet 1252'), or type it on the phone after the last bend.",
        objects=(bar_id,),
    )


def _drawn_otherwise(now: Standing, left_out: list[str]) -> Finding:
    bar = now.started.bar_id
    gone = f"; {', '.join(left_out)} is no distance of it any more and is left out" if left_out else ""
    return Finding(
        code="ASBENT-048",
        sentence=f"Bar {bar} was drawn otherwise when the stick that was taped was begun (sheet "
        f"{now.started.identity}, revision {now.started.revision}){gone}. The distances are held "
        "against the bar as it is drawn now.",
        todo="Compare the bends that come out with the sheet of that revision, or bend another stick.",
        objects=(bar,),
    )
