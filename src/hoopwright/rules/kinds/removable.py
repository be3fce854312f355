"""Removable joints: how many there may be, in which bars there may be none, and their bolts."""

from collections.abc import Iterator
from typing import Self

from pydantic import Field, model_validator

from hoopwright.rules.facts import Facts, JointFacts
from hoopwright.rules.kinds.bolts import held_grade
from hoopwright.rules.kinds.grades import grade_of
from hoopwright.rules.kinds.limits import Limits
from hoopwright.rules.kinds.outcome import Outcome, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show, one_of
from hoopwright.rules.typed_values import Count, Length, Texts


class RemovableLimits(Limits):
    """Keys of a rule on removable joints."""

    most: Count | None = None
    grade_least: Texts = ()
    size_least_mm: Length | None = Field(None, alias="size_least")

    @model_validator(mode="after")
    def _has_a_limit(self) -> Self:
        if self.most is None and not self.grade_least and self.size_least_mm is None:
            msg = "the limit is missing: type most, grade_least or size_least"
            raise ValueError(msg)
        strange = [grade for grade in self.grade_least if grade_of(grade) is None]
        if strange:
            msg = f'\'{strange[0][:60]}\' is not a known grade; type "8.8" or "SAE 5"'
            raise ValueError(msg)
        return self


def words(limits: RemovableLimits, show: Show) -> str:
    """The requirement in words."""
    told = [] if limits.most is None else [f"number <= {limits.most}"]
    told += [f"bolts at least {one_of(limits.grade_least)}"] if limits.grade_least else []
    told += (
        [] if limits.size_least_mm is None else [f"bolts {show.limit(limits.size_least_mm, 'mm', 'least')}"]
    )
    return f"removable joints: {', '.join(told)}"


def check(limits: RemovableLimits, facts: Facts, scope: Scope) -> Iterator[Outcome]:
    """Count the removable joints of the rule's bars, and hold their bolts against it."""
    of_roles = [
        joint
        for joint in facts.joints or ()
        if not scope.roles or any(scope.takes(role) for role in joint.roles)
    ]
    if facts.joints is None or any(joint.is_removable is None for joint in of_roles):
        yield not_checked(
            "", "", asks=f"Which joints can be undone? The book has: {words(limits, scope.show)}."
        )
        return
    removable = [joint for joint in of_roles if joint.is_removable]
    if limits.most is not None:
        yield held_against(
            len(removable), limits.most, "most", part="number", how="counted", todo="Weld the rest."
        )
    for joint in removable:
        yield from _bolted(limits, joint)


def _bolted(limits: RemovableLimits, joint: JointFacts) -> Iterator[Outcome]:
    if limits.grade_least:
        yield held_grade(joint.joint_id, joint.bolt_grade, limits.grade_least)
    if limits.size_least_mm is None:
        return
    if joint.bolt_mm is None:
        size = f"{limits.size_least_mm:g} mm"
        yield not_checked(
            joint.joint_id,
            "",
            part="size",
            asks=f"How thick are the bolts of this joint? At least {size} is asked.",
            place_mm=joint.place_mm,
        )
        return
    yield held_against(
        joint.bolt_mm,
        limits.size_least_mm,
        "least",
        unit="mm",
        about=joint.joint_id,
        part="size",
        todo="Take thicker bolts.",
        place_mm=joint.place_mm,
    )
