"""`hoopwright asbent`: the bar that exists, from a tape, from readings or from a scan of it."""

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from hoopwright.cli import asbent_options as option
from hoopwright.cli import typed
from hoopwright.cli.asbent_text import bent_keys, bent_text, scanned_keys, scanned_text
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings, tell
from hoopwright.cli.paper_options import day_of

if TYPE_CHECKING:
    from hoopwright.findings import Finding
    from hoopwright.jobs.as_bent import BentBar
    from hoopwright.store import ProjectFolder

UNITS = ("mm", "cm", "m", "in", "ft")


def asbent(
    project: option.MaybeProject = None,
    bar: option.MaybeBar = None,
    tape: option.Tape = None,
    also: option.Also = None,
    reading: option.Reading = None,
    readings: option.Readings = None,
    bent: option.Bent = False,
    scan: option.Scan = None,
    unit: option.Unit = None,
    csv: option.Csv = False,
    keep: option.Keep = False,
    picture: option.Picture = False,
    drop: option.Drop = False,
    date: option.Date = None,
    as_json: AsJson = False,
) -> None:
    """The bar that exists beside the drawn one: how each bend came out, and how sure that is."""
    ways = [bool(tape), bool(reading or readings), bent, scan is not None, drop]
    if sum(ways) > 1 or (bar is None and not any(ways)):
        raise typer.BadParameter(
            "name the project and the bar, and give one of --tape, --reading or --readings, --bent, --scan, --drop; "
            "none of them for what was taped at the bender",
            param_hint="asbent",
        )
    if (keep or picture) and bar is None:
        raise typer.BadParameter("that goes with a bar of a project", param_hint="--keep, --picture")
    if bar is None and not (scan is not None and project is None):
        raise typer.BadParameter("name the project and the bar", param_hint="BAR")
    with stopping_on_findings(as_json):
        unit = None if unit is None else typed.one_of(unit, UNITS, "a unit")
        if bar is None or project is None:
            _scan_alone(scan, unit, csv, as_json)
            return
        from hoopwright.jobs import as_bent
        from hoopwright.jobs.made_pdf import DrawnFiles
        from hoopwright.store import ProjectFolder

        folder = ProjectFolder(path=project)
        day = day_of(date)
        if drop:
            _drop(folder, bar, day, as_json)
            return
        made = (
            _from_bender(folder, bar)
            if bent
            else _made(folder, bar, tape, also, reading, readings, scan, unit, as_json)
        )
        told = (*made.findings, *(_kept(folder, made, day) if keep else ()))
        drawn = as_bent.draw_bent(folder, made) if picture else DrawnFiles()
        if csv:
            print(as_bent.bends_csv(made), end="")
            tell(told)
            return
        line = f"\n{bar} counts as bent from now on" if keep else ""
        show(
            as_json,
            lambda: bent_keys(made) | {"kept": keep, "pictures": list(drawn.files)},
            bent_text(made) + "".join(f"\n{file}" for file in drawn.files) + line,
            (*told, *drawn.findings),
        )


def _kept(folder: "ProjectFolder", made: "BentBar", day: str) -> "tuple[Finding, ...]":
    from hoopwright.jobs import as_bent

    return as_bent.keep_bent(folder, made, day)


def _drop(folder: "ProjectFolder", bar: str, day: str, as_json: bool) -> None:
    from hoopwright.jobs import as_bent

    as_bent.drop_bent(folder, bar, day)
    show(as_json, lambda: {"bar_id": bar, "kept": False}, f"{bar} counts as drawn again")


def _from_bender(folder: "ProjectFolder", bar: str) -> "BentBar":
    from hoopwright.jobs.bent_at_bender import bar_from_bender

    return bar_from_bender(folder, bar, typed.now())


def _made(
    folder: "ProjectFolder",
    bar: str,
    tape: list[str] | None,
    also: list[str] | None,
    reading: list[str] | None,
    readings: Path | None,
    scan: Path | None,
    unit: str | None,
    as_json: bool,
) -> "BentBar":
    from hoopwright.jobs import as_bent

    open_too = [typed.one_of(one, ("rotations", "straights"), "what may be off") for one in also or ()]
    if tape:
        return as_bent.bar_from_tape(folder, bar, [typed.bar_distance(one) for one in tape], also=open_too)
    if not (reading or readings or scan):
        from hoopwright.jobs.taped_at_bender import bar_as_taped

        return bar_as_taped(folder, bar, also=open_too)
    if scan is not None:
        with progress_bar(as_json) as progress:
            return as_bent.bar_from_scan(folder, bar, scan, unit, progress=progress)
    given = typed.bend_readings(readings) if readings is not None else ()
    return as_bent.bar_from_bend_readings(folder, bar, [*given, *map(typed.bend_reading, reading or ())])


def _scan_alone(scan: Path | None, unit: str | None, csv: bool, as_json: bool) -> None:
    from hoopwright.jobs import as_bent

    if scan is None:
        raise typer.BadParameter("name the scan", param_hint="--scan")
    with progress_bar(as_json) as progress:
        found = as_bent.scan_of_bar(scan, unit, progress=progress)
    if csv:
        print(as_bent.bends_csv(found), end="")
        tell(found.findings)
        return
    show(as_json, lambda: scanned_keys(found), scanned_text(found), found.findings)
