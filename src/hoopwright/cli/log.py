"""`hoopwright log`: every bend that was made."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import NEGATIVE_PLACES, AsJson, show, stopping_on_findings, table_text
from hoopwright.cli.shop_options import Note, ShopOption, show_records, show_stored
from hoopwright.units import parse_angle_deg

if TYPE_CHECKING:
    from hoopwright.bender import LoggedBend

app = typer.Typer(no_args_is_help=True, help="The log of every bend made, with what it came out as.")
Die = Annotated[str | None, typer.Option(help="Only with this die.")]
Batch = Annotated[str | None, typer.Option(help="Only of this tube batch.")]
Bender = Annotated[str | None, typer.Option(help="Only on this bender.")]
OfProject = Annotated[str | None, typer.Option(help="Only of this project.")]
Bar = Annotated[str | None, typer.Option(help="Only of this bar.")]
Every = Annotated[bool, typer.Option("--every", help="Also those that were corrected or taken back.")]
Key = Annotated[str, typer.Argument(help="Key of the bend, as 'log show' prints it.")]


@app.command("add", context_settings=NEGATIVE_PLACES)
def add(
    die: Annotated[str, typer.Option(help="The die.")],
    batch: Annotated[str, typer.Option(help="The tube batch.")],
    wanted: Annotated[str, typer.Option(help="Angle that the finished bend should have.")],
    command: Annotated[str, typer.Option(help="What the gauge read under load.")],
    released: Annotated[str, typer.Option(help="What was left after release.")],
    fed_from: Annotated[str, typer.Option(help="A or B: the end that went through the die first.")] = "A",
    bender: Annotated[str | None, typer.Option(help="The bender; the die's without.")] = None,
    project: Annotated[str | None, typer.Option(help="The project.")] = None,
    bar: Annotated[str | None, typer.Option(help="The bar.")] = None,
    bend: Annotated[int, typer.Option(help="Which bend of the bar, from 1 at end A.")] = 1,
    rotation: Annotated[str | None, typer.Option(help="Rotation read before the bend.")] = None,
    time: Annotated[str | None, typer.Option(help="When, ISO 8601; now without.")] = None,
    key: Annotated[str | None, typer.Option(help="Key of this reading: sent twice it is kept once.")] = None,
    note: Note = None,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Log a bend by hand."""
    from hoopwright.jobs import logs

    with stopping_on_findings(as_json):
        keys = {
            "key": key,
            "time": typed.maybe(typed.moment, time),
            "bender": bender,
            "die": die,
            "batch": batch,
            "project": project,
            "bar": bar,
            "bend_number": bend,
            "wanted_deg": parse_angle_deg(wanted),
            "command_deg": parse_angle_deg(command),
            "released_deg": parse_angle_deg(released),
            "fed_from": typed.one_of(fed_from, ("A", "B"), "the end that went first"),
            "rotation_deg": typed.maybe(parse_angle_deg, rotation),
            "note": note,
        }
        stored = logs.log_bend(shop, keys)
        show_stored(as_json, stored, f"bend '{stored.record.key}'", _told(stored.record))


@app.command("bar")
def of_bar(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    bar: Annotated[str, typer.Argument(help="Which bar.")],
    batch: Annotated[str, typer.Option(help="Tube batch, where the calibration names none.")] = "",
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Log the bends of a bar that was bent step by step; what is logged already is not doubled."""
    from hoopwright.jobs.bending import log_bar
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        made = log_bar(ProjectFolder(path=project), bar, shop=shop, batch=batch, at=typed.now())
        keys = {key: getattr(made, key) for key in ("bar_id", "stick", "added", "known", "corrected")}
        text = f"bends of {made.bar_id}, stick {made.stick}: {made.added} logged, {made.known} were logged before"
        text += f", {made.corrected} corrected" if made.corrected else ""
        show(as_json, lambda: dict(keys), text, made.findings)


@app.command("show")
def show_all(
    die: Die = None,
    batch: Batch = None,
    bender: Bender = None,
    project: OfProject = None,
    bar: Bar = None,
    last: Annotated[int | None, typer.Option(min=1, help="Only so many of the last.")] = None,
    every: Every = False,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Bends in the order in which they were logged."""
    from hoopwright.jobs import logs

    with stopping_on_findings(as_json):
        wanted = logs.LogFilter(
            bender=bender, die=die, batch=batch, project=project, bar=bar, last=last, every=every
        )
        found = logs.logged(shop, wanted)
        show_records(as_json, "bends", found, _table(found) if found else "no such bend in the log")


@app.command("export")
def export(
    file: Annotated[Path, typer.Argument(help="CSV file to write; it must not be there yet.")],
    die: Die = None,
    batch: Batch = None,
    bender: Bender = None,
    project: OfProject = None,
    bar: Bar = None,
    every: Every = False,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Write bends as a table for a spreadsheet."""
    from hoopwright.jobs import logs

    with stopping_on_findings(as_json):
        wanted = logs.LogFilter(bender=bender, die=die, batch=batch, project=project, bar=bar, every=every)
        count = logs.export_log(shop, wanted, file)
        keys = {"file": str(file), "bends": count}
        show(as_json, lambda: dict(keys), f"{count} bends written to {file}")


@app.command("correct", context_settings=NEGATIVE_PLACES)
def correct(
    key: Key,
    wanted: Annotated[str | None, typer.Option(help="Angle that the finished bend should have.")] = None,
    command: Annotated[str | None, typer.Option(help="What the gauge read under load.")] = None,
    released: Annotated[str | None, typer.Option(help="What was left after release.")] = None,
    rotation: Annotated[str | None, typer.Option(help="Rotation read before the bend.")] = None,
    batch: Annotated[str | None, typer.Option(help="The tube batch.")] = None,
    die: Annotated[str | None, typer.Option(help="The die.")] = None,
    note: Note = None,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Log a correction, which takes the place of a bend; the old reading stays in the log."""
    from hoopwright.jobs import logs

    with stopping_on_findings(as_json):
        changes = {
            "wanted_deg": typed.maybe(parse_angle_deg, wanted),
            "command_deg": typed.maybe(parse_angle_deg, command),
            "released_deg": typed.maybe(parse_angle_deg, released),
            "rotation_deg": typed.maybe(parse_angle_deg, rotation),
            "batch": batch,
            "die": die,
            "note": note,
        }
        stored = logs.correct_bend(shop, key, changes)
        told = f"{_told(stored.record)}, in place of '{key}'"
        show_stored(as_json, stored, f"bend '{stored.record.key}'", told)


@app.command("withdraw")
def withdraw(key: Key, note: Note = None, shop: ShopOption = None, as_json: AsJson = False) -> None:
    """Take a reading back: it stays in the log, and is used no more."""
    from hoopwright.jobs import logs

    with stopping_on_findings(as_json):
        stored = logs.withdraw_bend(shop, key, note or "")
        show_stored(as_json, stored, f"bend '{stored.record.key}'", f"'{key}' is used no more")


def _told(bend: "LoggedBend") -> str:
    return (
        f"die '{bend.die}', batch '{bend.batch}', {bend.command_deg:g}° under load, "
        f"{bend.released_deg:g}° after release, {bend.wanted_deg:g}° wanted"
    )


def _table(bends: "Sequence[LoggedBend]") -> str:
    rows = [
        [
            bend.key,
            str(bend.sequence),
            bend.time.astimezone().isoformat(sep=" ", timespec="seconds"),
            bend.die,
            bend.batch,
            " ".join(part for part in (bend.project, bend.bar, str(bend.bend_number)) if part),
            f"{bend.wanted_deg:g}",
            f"{bend.command_deg:g}",
            f"{bend.released_deg:g}",
            "-" if bend.rotation_deg is None else f"{bend.rotation_deg:g}",
            bend.device or "-",
            "" if bend.counts else "taken back",
        ]
        for bend in bends
    ]
    heads = [
        "key",
        "no.",
        "time",
        "die",
        "batch",
        "bend",
        "wanted",
        "under load",
        "released",
        "rotation",
        "read on",
        "",
    ]
    return table_text(heads, rows)
