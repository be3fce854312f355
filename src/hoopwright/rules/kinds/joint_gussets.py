"""Gussets at joints: how many stand where bars meet or cross."""

from collections.abc import Iterator

from pydantic import Field

from hoopwright.findings import Verdict
from hoopwright.rules.facts import JointFacts
from hoopwright.rules.kinds.attachments import AttachmentsLimits
from hoopwright.rules.kinds.outcome import Outcome, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show


class JointGussetsLimits(AttachmentsLimits):
    """Keys of a rule on gussets at joints."""

    crossing: bool = Field(False)


def words(limits: JointGussetsLimits, show: Show) -> str:
    """The requirement in words."""
    ranges = " and ".join(show.limit(limit, "", sense) for limit, sense in limits.limits())
    return f"gussets {ranges} {'where the bars cross' if limits.crossing else 'at the joint'}"


def check(limits: JointGussetsLimits, joint: JointFacts, scope: Scope) -> Iterator[Outcome]:
    """Count the gussets of one joint."""
    if limits.crossing and joint.is_crossing is not True:
        if joint.is_crossing is None:
            yield not_checked(joint.joint_id, "say whether the bars cross there", place_mm=joint.place_mm)
        else:
            yield Outcome(
                about=joint.joint_id, verdict=Verdict.NOT_APPLICABLE, note="the bars do not cross there"
            )
        return
    if joint.gussets is None:
        yield not_checked(joint.joint_id, "say how many gussets stand there", place_mm=joint.place_mm)
        return
    for limit, sense in limits.limits():
        yield held_against(
            joint.gussets,
            limit,
            sense,
            about=joint.joint_id,
            how="counted",
            todo="Add gussets." if sense == "least" else "Take gussets away.",
            place_mm=joint.place_mm,
        )
