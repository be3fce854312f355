"""Distances taped on a finished bar, held against what can be before they go into its records."""

from dataclasses import dataclass, replace

from hoopwright.bars import bend_table
from hoopwright.bender.as_bent import BarDistance, TapeEntry, bar_distances, chosen
from hoopwright.bender.checks import tape_checks
from hoopwright.bender.rescue.records import Taped
from hoopwright.bender.rescue.refusals import in_words
from hoopwright.bender.rescue.standing import Standing
from hoopwright.findings import Finding, Severity, UserError


@dataclass(frozen=True, kw_only=True)
class ToTape:
    """A distance of a finished bar, and what was taped of it.

    Args:
        key: Its short name.
        words: Where the tape goes.
        drawn_mm: What it should be: on the bar of the stick's sheet.
        taped: The record that counts; None where it was not taped.
    """

    key: str
    words: str
    drawn_mm: float
    taped: Taped | None


def distances_of(now: Standing) -> tuple[ToTape, ...]:
    """The distances that the sheet of a stick names, and any other that was taped."""
    bar, taped = now.started.job.bar, {one.name: one for one in now.taped}
    asked = {check.key for check in tape_checks(bar, bend_table(bar))} | taped.keys()
    return tuple(
        ToTape(key=one.key, words=one.words, drawn_mm=one.measure(bar), taped=taped.get(one.key))
        for one in bar_distances(bar)
        if one.key in asked
    )


def placed(now: Standing, taped: Taped) -> Taped:
    """A distance as it is kept: by the name that the bar has for it.

    Raises:
        UserError: `BEND-004` while the bar is not bent; `ASBENT-001` for a name that is not on the bar, `ASBENT-003`
            for a value that no bend of it could make, or that is no number.
    """
    if now.phase != "done":
        raise UserError(
            Finding(
                code="BEND-004",
                severity=Severity.STOP,
                sentence=f"Bar {now.started.bar_id} is not finished, so nothing is taped on it yet: {in_words(now)}.",
                todo="Finish its bends first; then tape it.",
                objects=(now.started.bar_id,),
            )
        )
    return replace(taped, name=_meant(now, taped).key)


def refuse_overtaken(now: Standing, taped: Taped, over: str | None) -> None:
    """Stop on a distance that takes the place of one that its device had not seen.

    Distances of other names may have come meanwhile: they change nothing of this one.

    Args:
        now: Where the bar stands.
        taped: The distance.
        over: Key of the record of that name that the device had; empty for none, None where it does not say.

    Raises:
        UserError: `BEND-003`.
    """
    had = next((one for one in now.taped if one.name == taped.name), None)
    if over is None or over == ("" if had is None else had.key):
        return
    since = "was taken back" if had is None else f"was taped as {had.measured_mm:.1f} mm"
    raise UserError(
        Finding(
            code="BEND-003",
            severity=Severity.STOP,
            sentence=f"'{taped.name}' of bar {now.started.bar_id} {since} on another device meanwhile; "
            f"{taped.measured_mm:.1f} mm was not written.",
            todo="Tape it again, and send what is right.",
            objects=(now.started.bar_id, taped.name),
        )
    )


def _meant(now: Standing, taped: Taped) -> BarDistance:
    bar = now.started.job.bar
    entry = TapeEntry(key=taped.name, tape_mm=taped.measured_mm)
    return chosen(bar, bend_table(bar), [entry], bar_distances(bar))[0]
