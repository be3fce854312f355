"""Asking through the bends of a bar in a terminal: one number at a time."""

import secrets
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from hoopwright.cli import bend_words, typed
from hoopwright.cli.output import ShownProgress, tell
from hoopwright.findings import UserError
from hoopwright.units import parse_angle_deg, parse_length_mm

if TYPE_CHECKING:
    from hoopwright.bender.rescue.records import Reading
    from hoopwright.jobs.bend_answers import Bending
    from hoopwright.jobs.sticks import BendWishes
    from hoopwright.store import ProjectFolder

_LEAVE = ("q", "quit", "stop")


def ask_through(folder: "ProjectFolder", bar: str, wishes: "BendWishes", progress: ShownProgress) -> None:
    """Ask until the bar is bent, scrapped, or the person leaves; every answer is kept as it is given."""
    from hoopwright.jobs.bend_answers import look

    made = look(folder, bar, wishes, progress=progress)
    tell(made.findings)
    while made.standing.phase in ("bend", "add", "decide"):
        progress.pause()
        print(f"\n{bend_words.head(made)}")
        try:
            answered = _answer(folder, bar, made, wishes, progress)
        except UserError as error:
            tell(error.findings)
            answered = look(folder, bar, wishes, progress=progress)
        if answered is None:
            print("left; go on with the same command")
            return
        made = answered
    progress.pause()
    made = _tape_through(folder, bar, made, wishes, progress)
    progress.pause()
    print(f"\n{bend_words.as_words(made)}")


def _tape_through(
    folder: "ProjectFolder", bar: str, made: "Bending", wishes: "BendWishes", progress: ShownProgress
) -> "Bending":
    """Ask for each distance of the finished bar that was not taped; what is left out stays open."""
    from hoopwright.bender.rescue.records import Taped
    from hoopwright.jobs.taping import take_distance

    for one in [distance for distance in made.distances if distance.taped is None]:
        while True:
            question = (
                f"{one.words}: should be {one.drawn_mm:.1f} mm\n  what the tape reads, Enter to leave it out"
            )
            read = _number(question, parse_length_mm, may_be_empty=True)
            if read is None:
                return made
            if not isinstance(read, float):
                break
            taped = Taped(name=one.key, measured_mm=read, at=typed.now(), key=secrets.token_hex(6))
            try:
                made = take_distance(folder, bar, taped, replace(wishes, shown=None), progress=progress)
                break
            except UserError as error:
                progress.pause()
                tell(error.findings)
    return made


def _answer(
    folder: "ProjectFolder", bar: str, made: "Bending", wishes: "BendWishes", progress: ShownProgress
) -> "Bending | None":
    from hoopwright.jobs import bending

    print("\n".join(bend_words.last_said(made)))
    now = replace(wishes, at=typed.now(), shown=made.standing.records)
    if made.standing.phase == "decide" and made.rescue is not None:
        print("\n".join(bend_words.rescue_lines(made.standing, made.rescue)))
        choice = _typed("go on or scrap")
        if choice is None:
            return None
        go_on = typed.one_of(choice, ("go on", "scrap"), "what is decided") == "go on"
        key = secrets.token_hex(6)
        return bending.decide(folder, bar, go_on=go_on, key=key, wishes=now, progress=progress)
    read = _read(made)
    return None if read is None else bending.take_reading(folder, bar, read, now, progress=progress)


def _read(made: "Bending") -> "Reading | None":
    """One number after the other; the person types what differs, and what the bend reads."""
    from hoopwright.bender.rescue.records import Reading

    step, found = made.asked, dict[str, float]()
    if step is None:
        return None
    for name, text in bend_words.numbers(step):
        if name == "end":
            answer: float | str | None = _typed(f"{text}; Enter when done")
        else:
            read = parse_length_mm if name == "mark" else parse_angle_deg
            really = "how far it really is, that way round" if name == "turn" else "what it really is"
            answer = _number(f"{text}\n  Enter when done, or {really}", read, may_be_empty=True)
        if answer is None:
            return None
        if isinstance(answer, float):
            found[name] = -answer if name == "turn" and (step.turn_deg or 0.0) < 0.0 else answer
    released = _number("reads after release", parse_angle_deg)
    if not isinstance(released, float):
        return None
    return Reading(
        step=0,
        released_deg=released,
        command_deg=found.get("pull"),
        turned_deg=found.get("turn"),
        mark_mm=found.get("mark"),
        at=typed.now(),
        key=secrets.token_hex(6),
    )


def _number(question: str, read: Callable[[str], float], *, may_be_empty: bool = False) -> float | str | None:
    """What was typed as a number, empty where that may be, None when the person leaves; asks until it reads."""
    while True:
        text = _typed(question)
        if text is None or (may_be_empty and not text):
            return text
        try:
            return read(text)
        except UserError as error:
            tell(error.findings)


def _typed(question: str) -> str | None:
    """What was typed; None when the person leaves."""
    try:
        text = input(f"{question} (q to leave): ").strip()
    except EOFError:
        return None
    return None if text.lower() in _LEAVE else text
