"""`hoopwright bend`: a bar at the bender, step by step."""

import secrets
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, is_terminal, progress_bar, show, stopping_on_findings
from hoopwright.units import parse_angle_deg, parse_length_mm

if TYPE_CHECKING:
    from hoopwright.bender.rescue.records import Reading
    from hoopwright.jobs.bend_answers import Bending
    from hoopwright.jobs.sticks import BendWishes
    from hoopwright.progress import Progress
    from hoopwright.store import ProjectFolder


def bend(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    bar: Annotated[str, typer.Argument(help="Name of the bar, or the code on its printed sheet.")],
    reading: Annotated[str | None, typer.Option(help="What the bend reads after release.")] = None,
    pulled: Annotated[
        str | None, typer.Option(help="What was really read under load, if not what was asked.")
    ] = None,
    turned: Annotated[
        str | None,
        typer.Option(help="How far the tube was really turned: clockwise positive, seen from the tail."),
    ] = None,
    mark: Annotated[
        str | None, typer.Option(help="Where the mark really was, from the end of the tube at A.")
    ] = None,
    reason: Annotated[str, typer.Option(help="Why a reading is lower than before, or was wrong.")] = "",
    decide: Annotated[str | None, typer.Option(help="'go on' or 'scrap', after a bend that is off.")] = None,
    correct: Annotated[
        int | None, typer.Option(help="Number of the record whose reading was typed wrongly; with --reading.")
    ] = None,
    take_back: Annotated[
        int | None, typer.Option(help="Number of the last reading, to take it back: it was of no bend.")
    ] = None,
    taped: Annotated[
        str | None,
        typer.Option(help="A distance on the finished bar: 'feet 1266'. Typed again, it takes the place."),
    ] = None,
    again: Annotated[bool, typer.Option("--again", help="Begin another stick of this bar.")] = False,
    state: Annotated[bool, typer.Option("--state", help="Only say where the bar stands.")] = False,
    shown: Annotated[
        int | None, typer.Option(help="The number that you were shown: refused when somebody went on since.")
    ] = None,
    key: Annotated[
        str | None, typer.Option(help="A name for this entry: sent twice, it counts once.")
    ] = None,
    band: Annotated[
        str, typer.Option(help="How far off a bend may be to go on as planned (common practice, no source).")
    ] = "0.3",
    end_limit: Annotated[
        str, typer.Option(help="How far an end may be off its place (common practice, no source).")
    ] = "5",
    as_json: AsJson = False,
) -> None:
    """Bend a bar step by step: mark, turn, pull, read; says go on, add, or what a bend that is over costs.

    In a terminal it asks, after the last bend for the distances to tape. With --reading, --decide or --taped it
    takes one entry and says what is next.
    """
    from hoopwright.bender.rescue.records import Bands
    from hoopwright.cli import bend_asking
    from hoopwright.cli.bend_words import as_keys, as_words
    from hoopwright.jobs import bending
    from hoopwright.jobs.bend_answers import look
    from hoopwright.jobs.sticks import BendWishes
    from hoopwright.store import ProjectFolder

    entries = (reading, decide, take_back, taped)
    alone = entries.count(None) == len(entries)
    if not alone and (state or again or entries.count(None) < len(entries) - 1):
        raise typer.BadParameter(
            "one thing at a time: --reading, --decide, --take-back, --taped, --again or --state"
        )
    if reading is None and (correct is not None or {pulled, turned, mark} != {None}):
        raise typer.BadParameter("--pulled, --turned, --mark and --correct go with --reading")
    with stopping_on_findings(as_json), progress_bar(as_json) as progress:
        folder = ProjectFolder(path=project)
        wishes = BendWishes(
            at=typed.now(),
            bands=Bands(angle_deg=parse_angle_deg(band)),
            end_limit_mm=parse_length_mm(end_limit),
            again=again,
            shown=shown,
        )
        read = _reading(reading, pulled, turned, mark, reason, key, wishes.at)
        if alone and not (state or again or as_json) and is_terminal(sys.stdin):
            bend_asking.ask_through(folder, bar, wishes, progress)
            return
        if read is not None and correct is not None:
            made = bending.correct_reading(folder, bar, correct, read, wishes, progress=progress)
        elif read is not None:
            made = bending.take_reading(folder, bar, read, wishes, progress=progress)
        elif take_back is not None:
            made = bending.take_back(
                folder,
                bar,
                take_back,
                reason=reason,
                key=key or secrets.token_hex(6),
                wishes=wishes,
                progress=progress,
            )
        elif taped is not None:
            made = _tape(folder, bar, taped, key, wishes, progress)
        elif decide is not None:
            made = _decide(folder, bar, decide, key, wishes, progress)
        else:
            made = look(folder, bar, wishes, progress=progress)
        progress.pause()
        show(as_json, lambda: as_keys(made, project), as_words(made), made.findings)


def _tape(
    folder: "ProjectFolder",
    bar: str,
    taped: str,
    key: str | None,
    wishes: "BendWishes",
    progress: "Progress",
) -> "Bending":
    from hoopwright.bender.rescue.records import Taped
    from hoopwright.jobs.taping import take_distance

    entry = typed.bar_distance(taped)
    one = Taped(name=entry.key, measured_mm=entry.tape_mm, at=wishes.at, key=key or secrets.token_hex(6))
    return take_distance(folder, bar, one, wishes, progress=progress)


def _decide(
    folder: "ProjectFolder",
    bar: str,
    choice: str,
    key: str | None,
    wishes: "BendWishes",
    progress: "Progress",
) -> "Bending":
    from hoopwright.jobs import bending

    go_on = typed.one_of(choice, ("go on", "scrap"), "what is decided") == "go on"
    key = key or secrets.token_hex(6)
    return bending.decide(folder, bar, go_on=go_on, key=key, wishes=wishes, progress=progress)


def _reading(
    released: str | None,
    pulled: str | None,
    turned: str | None,
    mark: str | None,
    reason: str,
    key: str | None,
    at: str,
) -> "Reading | None":
    from hoopwright.bender.rescue.records import Reading

    if released is None:
        return None
    plain = Reading(
        step=0, released_deg=parse_angle_deg(released), reason=reason, at=at, key=key or secrets.token_hex(6)
    )
    return replace(
        plain,
        command_deg=typed.maybe(parse_angle_deg, pulled),
        turned_deg=typed.maybe(parse_angle_deg, turned),
        mark_mm=typed.maybe(parse_length_mm, mark),
    )
