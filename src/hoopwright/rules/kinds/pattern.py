"""Pattern: what several bars form together, such as an X in the roof."""

from collections.abc import Iterator
from typing import Literal, Self

from pydantic import model_validator

from hoopwright.rules.facts import Facts, Pattern
from hoopwright.rules.kinds.limits import Limits
from hoopwright.rules.kinds.outcome import Outcome, judged, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show, one_of
from hoopwright.rules.typed_values import Texts

PatternPlace = Literal["roof", "main hoop", "door", "layout"]
PATTERNS = ("X", "V", "inverted V", "one diagonal", "two diagonals", "parallel", "two hoops", "two side hoops",
            "hoop and half hoops", "none", "other")  # fmt: skip
"""What a cage may form at a place; the last two are a place with no bars, and one with others."""


class PatternLimits(Limits):
    """Keys of a rule on what bars form."""

    place: PatternPlace
    one_of: Texts = ()
    none_of: Texts = ()

    @model_validator(mode="after")
    def _has_known_patterns(self) -> Self:
        if not self.one_of and not self.none_of:
            msg = "the limit is missing: type one_of = [...] or none_of = [...]"
            raise ValueError(msg)
        strange = [name for name in (*self.one_of, *self.none_of) if name not in PATTERNS]
        if strange:
            msg = f"'{strange[0][:60]}' is not a known pattern; known are: {', '.join(PATTERNS)}"
            raise ValueError(msg)
        return self


def words(limits: PatternLimits, show: Show) -> str:
    """The requirement in words."""
    told = [one_of(limits.one_of)] if limits.one_of else []
    told += [f"not {one_of(limits.none_of)}"] if limits.none_of else []
    return f"bars of the {limits.place}: {', '.join(told)}"


def check(limits: PatternLimits, facts: Facts, scope: Scope) -> Iterator[Outcome]:
    """Hold what the bars of each such place form against the rule."""
    there = [pattern for pattern in facts.patterns or () if pattern.place == limits.place]
    if not there:
        yield not_checked(limits.place, f"say what the bars of the {limits.place} form")
    for pattern in there:
        yield _held(limits, pattern)


def _held(limits: PatternLimits, pattern: Pattern) -> Outcome:
    passes = pattern.name not in limits.none_of and (not limits.one_of or pattern.name in limits.one_of)
    wanted = one_of(limits.one_of) or f"not {one_of(limits.none_of)}"
    return Outcome(
        about=f"{pattern.place} {pattern.side}".strip(),
        side=pattern.side,
        verdict=judged(passes),
        measured_words=pattern.name + (f" ({', '.join(pattern.bars)})" if pattern.bars else ""),
        limit_words=wanted,
        how="as the bars are drawn",
        todo="" if passes else f"Arrange them as {wanted}.",
    )
