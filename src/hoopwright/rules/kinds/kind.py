"""What a kind of check is made of."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Literal

from hoopwright.rules.kinds.limits import Limits
from hoopwright.rules.kinds.outcome import Outcome
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show

About = Literal["bar", "measure", "foot", "gusset", "joint", "driver", "opening", "cage"]


@dataclass(frozen=True, kw_only=True)
class Kind:
    """A kind of check.

    Args:
        name: As a book types it.
        about: What it looks at, one after the other; `cage` looks at everything at once.
        limits: The keys that it takes.
        check: Holds one thing against the limits.
        words: The requirement in words.
        needs: What a person gives to have it checked.
    """

    name: str
    about: Callable[[Any], About]
    limits: type[Limits]
    check: Callable[[Any, Any, Scope], Iterable[Outcome]]
    words: Callable[[Any, Show], str]
    needs: str


def always(about: About) -> Callable[[Any], About]:
    """A kind that looks at one sort of thing whatever its limits are."""
    return lambda limits: about
