"""`hoopwright bend`: a bar at the bender, step by step."""

import secrets
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli import bend_options as option
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
    reading: option.Reading = None,
    pulled: option.Pulled = None,
    turned: option.Turned = None,
    mark: option.Mark = None,
    reason: option.Reason = "",
    decide: option.Decide = None,
    correct: option.Correct = None,
    take_back: option.TakeBack = None,
    taped: option.Taped = None,
    again: option.Again = False,
    state: option.State = False,
    shown: option.Shown = None,
    key: option.Key = None,
    band: option.Band = "0.3",
    end_limit: option.EndLimit = "5",
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
