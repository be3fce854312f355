"""Size, unit and day of papers, typed alike for every command that makes some."""

from typing import Annotated, Literal

import typer

from hoopwright.cli import typed
from hoopwright.units import LengthUnit

PaperSize = Literal["A4", "letter"]
_SIZES: tuple[PaperSize, ...] = ("A4", "letter")
_UNITS: tuple[LengthUnit, ...] = ("mm", "in")

Paper = Annotated[str, typer.Option(help="A4 or letter.")]


def paper_of(text: str) -> PaperSize:
    """The paper that was typed.

    Raises:
        UserError: `TYPED-001` for any other word.
    """
    return typed.one_of(text, _SIZES, "a paper")


def unit_of(text: str) -> LengthUnit:
    """The unit that was typed.

    Raises:
        UserError: `TYPED-001` for any other word.
    """
    return typed.one_of(text, _UNITS, "a unit")


def day_of(text: str | None) -> str:
    """The day that was typed, or today; ISO 8601.

    Raises:
        UserError: `TYPED-001` for what is no day.
    """
    return typed.today() if text is None else typed.day(text)
