"""What a screen at the bender may send. Anything else is refused before it reaches a job."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

LONGEST_AGE_S = 60.0 * 86_400.0
"""A reading may have waited on a phone for so long; common practice, no source."""

Bar = Annotated[str, Field(pattern=r"^[A-Za-z0-9-]{1,12}$")]
Key = Annotated[str, Field(pattern=r"^[A-Za-z0-9-]{8,64}$")]
Code = Annotated[str, Field(pattern=r"^[A-Za-z0-9-]{0,64}$")]
Angle = Annotated[float, Field(ge=-360.0, le=360.0, allow_inf_nan=False)]
Length = Annotated[float, Field(ge=-20_000.0, le=20_000.0, allow_inf_nan=False)]


class Sent(BaseModel):
    """What comes with every answer of a screen.

    Args:
        bar: The bar.
        code: Hash of the sheet in hand; empty without one.
        stick: Key of the stick that the screen had before it.
        shown: Number of records that it had before it.
        key: Of this answer: sent again, it counts once.
        age_s: How long ago it was given; a phone's clock may be wrong, so that it does not send a time.
    """

    model_config = ConfigDict(extra="forbid", strict=True)

    bar: Bar
    code: Code = ""
    stick: Annotated[str, Field(max_length=80)]
    shown: Annotated[int, Field(ge=1, le=100_000)]
    key: Key
    age_s: Annotated[float, Field(ge=0.0, le=LONGEST_AGE_S, allow_inf_nan=False)] = 0.0


class SentReading(Sent):
    """A released bend was read.

    Args:
        released_deg: What it reads after release.
        command_deg: What was really read under load; None where it was what was asked.
        turned_deg: How far the tube was really turned; None where as asked.
        mark_mm: Where the mark really was, from end A; None where as asked.
        reason: Why a reading that does not go with the others is right.
    """

    released_deg: Angle
    command_deg: Angle | None = None
    turned_deg: Angle | None = None
    mark_mm: Length | None = None
    reason: Annotated[str, Field(max_length=200)] = ""


class SentCorrection(SentReading):
    """A reading was typed wrongly, or its mark turned out to have slipped."""

    of: Annotated[int, Field(ge=1, le=100_000)]


class SentTakingBack(Sent):
    """The last reading was of no bend."""

    of: Annotated[int, Field(ge=1, le=100_000)]


class SentDecision(Sent):
    """How to go on after a bend that is off.

    Args:
        go_on: Go on; else the stick is scrapped.
        as_planned: With the numbers that were in force, not with those solved again.
    """

    go_on: bool
    as_planned: bool = False


class SentDistance(Sent):
    """A distance was taped on the finished bar.

    Args:
        name: Its short name.
        measured_mm: What the tape read.
        over: Key of the answer whose distance it puts right; empty where the screen had none of that name.
    """

    name: Annotated[str, Field(pattern=r"^[A-Za-z0-9 ]{1,24}$")]
    measured_mm: Length
    over: Annotated[str, Field(pattern=r"^[A-Za-z0-9-]{0,64}$")]


class SentAgain(BaseModel):
    """Begin another stick of a bar."""

    model_config = ConfigDict(extra="forbid", strict=True)

    bar: Bar
    code: Code = ""
