"""Which tube each bar was cut from, as records."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from hoopwright.bender import Stick, TubeBatch, same_tube
from hoopwright.cage import Cage
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.shop_if_there import shop_if_there
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.build_records import TubeUsed
from hoopwright.tubes.paper_numbers import certificate_number, heat_number


@dataclass(frozen=True, kw_only=True)
class SaidTube:
    """What a person says of a tube; what is empty is taken from the shop, or stays unknown.

    Args:
        stick: Label of the stick.
        batch: Name of the batch.
        steel: As the certificate has it.
        heat_number: The same.
        certificate: Its number.
    """

    stick: str = ""
    batch: str = ""
    steel: str = ""
    heat_number: str = ""
    certificate: str = ""


Shown = Mapping[str, TubeUsed | None]
"""What a person had before his eyes of some bars: the record in force, None where there was none."""


def say_cut_from(
    folder: ProjectFolder, bars: Sequence[str], said: SaidTube, *, date: str, shown: Shown | None = None
) -> tuple[TubeUsed, ...]:
    """Record which tube bars were cut from; the last record of a bar counts, and no undo takes one back.

    Args:
        folder: The project.
        bars: The bars; a mirrored bar is cut from a tube of its own.
        said: The tube.
        date: Day, ISO 8601.
        shown: What was shown of the bars; None where nobody knows.

    Raises:
        UserError: `CAGE-001`; `DOSS-012` where it was said otherwise since it was shown; `DOSS-010` where nothing is
            said, what is said does not go together, or the batch is of another size; `SHOP-025` for a stick or batch
            that the shop does not have, `SHOP-020` to `SHOP-023` for a shop that cannot be read. Nothing is kept then.
    """
    opened = folder.open()
    if not any(vars(said).values()):
        raise _refused(
            "Nothing was said of the tube.", "Name its stick, its batch, or its heat number.", bars
        )
    _refuse_said_since(opened.project, bars, shown or {})
    stick, batch = _of_shop(said)
    full = _filled(said, stick, batch, bars)
    for bar_id in bars:
        _refuse_other_size(opened.project.cage, bar_id, batch)
    records = tuple(TubeUsed(bar_id=bar_id, date=date, **vars(full)) for bar_id in dict.fromkeys(bars))
    folder.record(opened, replace(opened.project, tubes_used=(*opened.project.tubes_used, *records)))
    return records


def say_not_cut(
    folder: ProjectFolder, bars: Sequence[str], *, date: str, shown: Shown | None = None
) -> tuple[TubeUsed, ...]:
    """Take back what was said of bars: a further record says that their tube is not known.

    Args:
        folder: The project.
        bars: The bars.
        date: Day, ISO 8601.
        shown: What was shown of the bars; None where nobody knows.

    Raises:
        UserError: `CAGE-001`; `DOSS-010` for a bar of which nothing is on record; `DOSS-012` where it was said
            otherwise since it was shown. Nothing is kept then.
    """
    opened = folder.open()
    for bar_id in bars:
        opened.project.cage.member(bar_id)
        if not is_said(opened.project.tube_of.get(bar_id)):
            raise _refused(
                f"Nobody said from which tube {bar_id} was cut.", "There is nothing to take back.", (bar_id,)
            )
    _refuse_said_since(opened.project, bars, shown or {})
    records = tuple(not_cut(bar_id, date) for bar_id in dict.fromkeys(bars))
    folder.record(opened, replace(opened.project, tubes_used=(*opened.project.tubes_used, *records)))
    return records


def not_cut(bar_id: str, date: str) -> TubeUsed:
    """The record that takes back what was said of a bar."""
    return TubeUsed(bar_id=bar_id, batch="", stick="", steel="", heat_number="", certificate="", date=date)


def is_said(used: TubeUsed | None) -> bool:
    """Whether a record says anything of the tube."""
    return used is not None and used != not_cut(used.bar_id, used.date)


def used_words(used: TubeUsed | None) -> str:
    """What is on record of the tube of a bar, in words."""
    if used is None or not is_said(used):
        return "not said"
    said = (
        ("stick", used.stick),
        ("batch", used.batch),
        ("heat", used.heat_number),
        ("certificate", used.certificate),
        ("steel", used.steel),
    )
    return f"{', '.join(f'{word} {text}' for word, text in said if text)} ({used.date})"


def _refuse_said_since(project: Project, bars: Sequence[str], shown: Shown) -> None:
    for bar_id in bars:
        now = project.tube_of.get(bar_id)
        if bar_id in shown and now != shown[bar_id]:
            raise UserError(
                Finding(
                    code="DOSS-012",
                    severity=Severity.STOP,
                    sentence=f"The tube of bar {bar_id} was said elsewhere since it was shown here: "
                    f"{used_words(now)} now, {used_words(shown[bar_id])} before. Nothing was kept.",
                    todo="Look which tube it is; if it is yours, say it again.",
                    objects=(bar_id,),
                )
            )


def _of_shop(said: SaidTube) -> tuple[Stick | None, TubeBatch | None]:
    """The stick and the batch that were named, as the shop has them."""
    if not said.stick and not said.batch:
        return None, None
    with shop_if_there() as shop:
        if shop is None:
            raise _refused(
                "There is no shop to look the stick or batch up in.",
                "Add the batch with 'hoopwright batch add', or type heat number and certificate alone.",
                (said.stick or said.batch,),
            )
        stick = shop.stick(said.stick) if said.stick else None
        name = said.batch or ("" if stick is None else stick.batch)
        return stick, shop.batch(name)


def _filled(said: SaidTube, stick: Stick | None, batch: TubeBatch | None, bars: Sequence[str]) -> SaidTube:
    """What was said with what the shop knows; what contradicts it is refused."""
    if batch is None:
        return said
    if stick is not None and stick.batch != batch.name:
        raise _refused(
            f"Stick {stick.label} is of batch {stick.batch}, not of {batch.name}.",
            "Look at the stick again.",
            bars,
        )
    known = {
        "steel": batch.steel,
        "heat_number": batch.heat_number,
        "certificate": batch.certificate,
    }
    for key, value in known.items():
        typed = getattr(said, key)
        number_in = _NUMBER_IN.get(key, str.strip)
        if number_in(typed) and number_in(value) and typed != value:
            raise _refused(
                f"The {key.replace('_', ' ')} of batch {batch.name} is {value}, not {typed}.",
                "Look at the tube again, or correct the batch with 'hoopwright batch change'.",
                bars,
            )
    return replace(
        said,
        batch=batch.name,
        **{key: _better(key, getattr(said, key), value) for key, value in known.items()},
    )


_NUMBER_IN: Mapping[str, Callable[[str], str]] = MappingProxyType(
    {"heat_number": heat_number, "certificate": certificate_number}
)


def _better(key: str, typed: str, kept: str) -> str:
    """What was typed, or what the batch has where nothing was typed, or nothing with a number in it."""
    number_in = _NUMBER_IN.get(key, str.strip)
    return typed if number_in(typed) else kept if number_in(kept) else typed or kept


def _refuse_other_size(cage: Cage, bar_id: str, batch: TubeBatch | None) -> None:
    tube = cage.member(bar_id).tube
    if batch is None or same_tube(batch.tube, tube):
        return
    raise _refused(
        f"Bar {bar_id} is {tube.od_mm:g} x {tube.wall_mm:g} mm, and batch {batch.name} is "
        f"{batch.tube.od_mm:g} x {batch.tube.wall_mm:g} mm.",
        "Look which tube it was cut from.",
        (bar_id, batch.name),
    )


def _refused(sentence: str, todo: str, objects: Sequence[str]) -> UserError:
    return UserError(
        Finding(
            code="DOSS-010",
            severity=Severity.STOP,
            sentence=f"{sentence} Nothing was kept.",
            todo=todo,
            objects=tuple(objects),
        )
    )
