"""Question: what no model can tell. A person answers it."""

from collections.abc import Iterator

from hoopwright.findings import Verdict
from hoopwright.rules.facts import Facts
from hoopwright.rules.kinds.limits import Limits
from hoopwright.rules.kinds.outcome import Outcome
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show


class QuestionLimits(Limits):
    """A question has no keys of its own; the rule's `question` is asked."""


def words(limits: QuestionLimits, show: Show) -> str:
    """The requirement in words: none, the rule's own words say it."""
    return ""


def check(limits: QuestionLimits, facts: Facts, scope: Scope) -> Iterator[Outcome]:
    """Not checked, until a person answers."""
    yield Outcome(verdict=Verdict.NOT_CHECKED, how="not checkable from the model")
