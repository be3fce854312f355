"""Attachments: at how many places the cage stands on the shell."""

from collections.abc import Iterator

from pydantic import Field

from hoopwright.rules.facts import Facts
from hoopwright.rules.kinds.limits import LeastAndMost, Sense, meets
from hoopwright.rules.kinds.outcome import Outcome, give_feet, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import Count


class AttachmentsLimits(LeastAndMost):
    """Keys of a rule on how many feet there are."""

    least_count: Count | None = Field(None, alias="least")
    most_count: Count | None = Field(None, alias="most")

    def limits(self) -> Iterator[tuple[int, Sense]]:
        """Each limit with its sense."""
        if self.least_count is not None:
            yield self.least_count, "least"
        if self.most_count is not None:
            yield self.most_count, "most"


def words(limits: AttachmentsLimits, show: Show) -> str:
    """The requirement in words."""
    return "feet on the shell " + " and ".join(
        show.limit(limit, "", sense) for limit, sense in limits.limits()
    )


def check(limits: AttachmentsLimits, facts: Facts, scope: Scope) -> Iterator[Outcome]:
    """Count the feet."""
    if facts.feet is None:
        yield not_checked("", give_feet(facts.may_be_feet))
        return
    there, more = len(facts.feet), len(facts.may_be_feet)
    for limit, sense in limits.limits():
        if meets(there, limit, sense) is not meets(there + more, limit, sense):
            yield not_checked("", give_feet(facts.may_be_feet))
            continue
        todo = "Add feet." if sense == "least" else "Take feet away."
        yield held_against(there, limit, sense, how="ends of bars on the shell, counted", todo=todo)
