"""What one check of one thing ended in, before it becomes a row."""

from dataclasses import dataclass

from hoopwright.cage.member import Side
from hoopwright.findings import Verdict
from hoopwright.rules.facts import Place
from hoopwright.rules.kinds.limits import Sense, meets

BY_HAND = "measured by hand"


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What one check of one thing ended in.

    Args:
        about: The bar, foot, joint, opening or driver; empty for the whole cage.
        side: Side of the car, for what is counted or left free on one.
        part: Which part of the rule, such as `carbon`; empty where it has one part.
        verdict: How it ended.
        measured: The value, in `unit`.
        limit: The limit, in `unit`.
        sense: Whether the value must be at least or at most the limit.
        unit: Of the numbers: mm, deg, MPa, %, kg, s, mm2, mm4, x OD, or nothing; `area` is mm2 that is shown in
            the unit of the book.
        other: The value measured in another way, in `unit`.
        other_how: That way.
        measured_words: The value in words, where it is more than a number.
        limit_words: The limit in words, likewise.
        how: How it was measured.
        todo: What to do.
        note: What else to know.
        is_advisory: Whether the book only advises against it, or someone should look.
        place_mm: Where.
    """

    about: str = ""
    side: Side = ""
    part: str = ""
    verdict: Verdict
    measured: float | None = None
    limit: float | None = None
    sense: Sense = ""
    unit: str = ""
    other: float | None = None
    other_how: str = ""
    measured_words: str = ""
    limit_words: str = ""
    how: str = ""
    todo: str = ""
    note: str = ""
    is_advisory: bool = False
    place_mm: Place | None = None


def judged(passes: bool) -> Verdict:
    """Pass or fail."""
    return Verdict.PASS if passes else Verdict.FAIL


def not_checked(about: str, give: str, *, part: str = "", place_mm: Place | None = None) -> Outcome:
    """The outcome where something is not known, with what to give."""
    return Outcome(about=about, part=part, verdict=Verdict.NOT_CHECKED, todo=give, place_mm=place_mm)


def by_hand(about: str, name: str) -> str:
    """The command with which a person gives what was measured by hand.

    Args:
        about: What it is measured at.
        name: What is measured, as `hoopwright measured PROJECT --names` has it.
    """
    at = f"'{about}'" if " " in about else about
    return f"hoopwright measured PROJECT {at} --value '{name}=...'"


def give_feet(may_be: tuple[str, ...]) -> str:
    """What to give where it is not known which ends stand on the shell.

    Args:
        may_be: Ends of which nobody knows, such as `MH foot A`.
    """
    named = f" ({', '.join(may_be[:8])}{' ...' if len(may_be) > 8 else ''} may be some)" if may_be else ""
    how = by_hand(may_be[0] if may_be else "BAR foot A", "plate thickness")
    return f"give the feet of the cage{named}: say which ends stand on the shell, or measure them: {how}"


def end_on_nothing(bar_id: str, end: str) -> str:
    """What to give for an end that is said to land on nothing, and so may be a foot or may be loose.

    Args:
        bar_id: The bar.
        end: Its end, A or B.
    """
    how = by_hand(f"{bar_id} foot {end}", "plate thickness")
    return (
        f"end {end} of {bar_id} is said to land on nothing, so it may be a foot without a plate, or loose: say what it "
        f"lands on, or measure what is there: {how}"
    )


def held_against(
    measured: float,
    limit: float,
    sense: Sense,
    *,
    strict: bool = False,
    unit: str = "",
    about: str = "",
    part: str = "",
    how: str = "",
    todo: str = "",
    place_mm: Place | None = None,
) -> Outcome:
    """The outcome of one number against one limit; what to do is told only where it fails."""
    passes = meets(measured, limit, sense, strict=strict)
    return Outcome(
        about=about,
        part=part,
        verdict=judged(passes),
        measured=measured,
        limit=limit,
        sense=sense,
        unit=unit,
        how=how,
        todo="" if passes else todo,
        place_mm=place_mm,
    )
