"""A bar at the bender: where it stands, and how an answer of a device goes into its records."""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, replace

from hoopwright.bender.rescue.records import Reading, Record
from hoopwright.bender.rescue.refusals import refuse_stale
from hoopwright.bender.rescue.session import standing
from hoopwright.bender.rescue.solve_again import Rescue
from hoopwright.bender.rescue.standing import Asked, Standing, asked, strays
from hoopwright.bender.rescue.taping import ToTape, distances_of
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.bend_log import as_log
from hoopwright.jobs.rescues import rescue_of
from hoopwright.jobs.shop_bends import into_shop
from hoopwright.jobs.sticks import BendWishes, begun, open_stick, refuse_wishes
from hoopwright.progress import Progress, silent
from hoopwright.store import ProjectFolder
from hoopwright.store.bending import Stick, add_record, bending_locked

_AT_ONCE_S = 120.0


@dataclass(frozen=True, kw_only=True)
class Bending:
    """A bar at the bender.

    Args:
        standing: Where it stands.
        asked: The bend that is asked for; None where none is.
        stick: Its records.
        strays: In words, turn and mark of the last bend that were off, while a decision is awaited.
        rescue: What the bends made cost, and what those to come can save; None while all is well.
        counted_before: Whether what was sent had been counted already.
        findings: What a person should know.
    """

    standing: Standing
    asked: Asked | None
    stick: Stick
    strays: tuple[str, ...]
    rescue: Rescue | None
    counted_before: bool
    findings: tuple[Finding, ...]

    @property
    def is_old(self) -> bool:
        """Whether the sheet that the stick was begun from is old."""
        return any(finding.code == "BEND-007" for finding in self.findings)

    @property
    def distances(self) -> tuple[ToTape, ...]:
        """What to tape on the finished bar, with what was taped; empty until it is bent."""
        return distances_of(self.standing) if self.standing.phase == "done" else ()

    @property
    def log(self) -> tuple[dict[str, object], ...]:
        """The bends as records that a shop log can take, each with a key of its own."""
        return tuple(as_log(self.standing, one) for one in self.standing.taken)


def look(
    folder: ProjectFolder, bar_or_code: str, wishes: BendWishes, *, progress: Progress = silent
) -> Bending:
    """Where a bar stands. Nothing is written, unless another stick is asked for.

    Raises:
        UserError: `BEND-006` for another sheet's code, `BEND-010` to `BEND-012` when no stick can be begun,
            `STORE-009` for damaged records.
    """
    refuse_wishes(wishes)
    folder.open()
    with bending_locked(folder):
        stick, findings = open_stick(folder, bar_or_code, wishes)
        if wishes.again:
            stick = begun(stick)
    return _bending(folder, stick, wishes, False, findings, progress)


@dataclass(frozen=True, kw_only=True)
class Sent:
    """What a device sent.

    Args:
        key: Its key: sent again, it counts once.
        make: The record that it makes where the bar stands so, after these records; stops on what is not taken.
        same: Whether a kept record is the same.
        of_bends: Whether it tells of bends, so that a finished stick goes into the shop's log.
    """

    key: str
    make: Callable[[Standing, tuple[Record, ...]], Record]
    same: Callable[[Record], bool]
    of_bends: bool = True


def take_in(
    folder: ProjectFolder, bar_or_code: str, wishes: BendWishes, sent: Sent, progress: Progress
) -> Bending:
    """Take what a device sent into the records of the stick in hand; a key that came before adds nothing.

    Raises:
        UserError: As `look`; `BEND-003`, `BEND-005`, and what `sent.make` stops with. Nothing is written then.
    """
    refuse_wishes(wishes)
    folder.open()
    with bending_locked(folder):
        stick, findings = open_stick(folder, bar_or_code, wishes)
        had = next((one for one in stick.records if one.key == sent.key), None)
        if had is None:
            now = standing(stick.records)
            refuse_stale(now, wishes.shown, wishes.stick)
            record = sent.make(now, stick.records)
            stick = add_record(begun(stick), record)
        else:
            _refuse_key(stick, had, sent.key, sent.same(had))
    made = _bending(folder, stick, wishes, had is not None, findings, progress)
    told: tuple[Finding, ...] = ()
    if sent.of_bends:
        told = into_shop(made.standing, made.stick.records, folder.open().project.name)
    twice = () if had is not None or wishes.shown is not None else _like_the_last(made.standing)
    return replace(made, findings=(*made.findings, *twice, *told))


def numbers_of(reading: Reading) -> tuple[object, ...]:
    """What was read, without when and with which key."""
    return (reading.released_deg, reading.command_deg, reading.turned_deg, reading.mark_mm, reading.reason)


def _like_the_last(now: Standing) -> tuple[Finding, ...]:
    """A word on two readings that are the same and came at once: one of them may have been sent twice."""
    if len(now.taken) < 2 or now.taken[-1].record != now.records:
        return ()
    one, other = now.taken[-2].reading, now.taken[-1].reading
    apart_s = (dt.datetime.fromisoformat(other.at) - dt.datetime.fromisoformat(one.at)).total_seconds()
    if numbers_of(one) != numbers_of(other) or not 0.0 <= apart_s < _AT_ONCE_S:
        return ()
    return (
        Finding(
            code="BEND-017",
            sentence=f"The same {other.released_deg:g}° was given {apart_s:.0f} s before, for step {one.step}; now it "
            f"counts for step {other.step}.",
            todo=f"If one reading was sent twice, take this one back (--take-back {now.records}).",
            objects=(now.started.bar_id,),
        ),
    )


def _refuse_key(stick: Stick, had: Record, key: str, same: bool) -> None:
    """A key that came before must come with what it came with before."""
    if same:
        return
    raise UserError(
        Finding(
            code="BEND-005",
            severity=Severity.STOP,
            sentence=f"The key '{key}' came before with something else, as record {stick.records.index(had) + 1}.",
            todo="Send every new reading with a key of its own; put a wrong one right (--correct).",
            objects=(key,),
        )
    )


def _bending(
    folder: ProjectFolder,
    stick: Stick,
    wishes: BendWishes,
    counted_before: bool,
    findings: tuple[Finding, ...],
    progress: Progress,
) -> Bending:
    now = standing(stick.records)
    off = wishes.solve and now.phase in ("decide", "done")
    rescue, told = rescue_of(folder, now, now.made, wishes, progress) if off else (None, ())
    return Bending(
        standing=now,
        asked=asked(now) if now.phase in ("bend", "add") else None,
        stick=stick,
        strays=strays(now, now.finished[-1]) if now.phase == "decide" and now.finished else (),
        rescue=rescue,
        counted_before=counted_before,
        findings=(*findings, *told),
    )
