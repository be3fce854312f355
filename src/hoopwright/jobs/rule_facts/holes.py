"""Inspection holes: nothing in the model has them, so a person looks at each bar and measures."""

from hoopwright.jobs.rule_facts.scene import Scene
from hoopwright.rules.facts import HoleFacts

_NAME = "inspection hole"


def hole_facts(scene: Scene) -> tuple[HoleFacts, ...] | None:
    """What was measured by hand of inspection holes; None where nobody looked at any bar."""
    found = tuple(
        HoleFacts(
            bar_id=member.member_id,
            role=member.role,
            diameter_mm=scene.measured(member.member_id, _NAME),
            to_weld_mm=scene.measured(member.member_id, "hole to weld"),
            to_bend_mm=scene.measured(member.member_id, "hole to bend"),
        )
        for member in scene.cage.members
        if scene.measured(member.member_id, _NAME) is not None
    )
    return found or None


def holes_unseen(scene: Scene) -> tuple[str, ...]:
    """Bars at which nobody looked."""
    names = (member.member_id for member in scene.cage.members)
    return tuple(name for name in names if scene.measured(name, _NAME) is None)
