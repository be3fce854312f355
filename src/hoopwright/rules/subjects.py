"""Which things of a cage a rule looks at, and why it looks at none."""

from dataclasses import dataclass
from typing import Any

from hoopwright.cage.member import Role
from hoopwright.findings import Verdict
from hoopwright.rules.book import Rule
from hoopwright.rules.kinds.kind import About
from hoopwright.rules.kinds.outcome import Outcome
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.measures import MEASURES
from hoopwright.rules.show import one_of

_LISTS = {
    "bar": ("bars", "the bars of the cage"),
    "measure": ("measures", "the bars of the cage"),
    "foot": ("feet", "the feet of the cage"),
    "gusset": ("gussets", "the gussets of the cage"),
    "joint": ("joints", "the joints of the cage"),
    "driver": ("drivers", "a driver's measures"),
    "opening": ("openings", "the corners of the door openings"),
}


@dataclass(frozen=True, kw_only=True)
class Subjects:
    """What a rule looks at.

    Args:
        things: The facts to be held against the rule, one after the other.
        outcomes: What is clear without looking: things of which too little is known, or that there are none.
    """

    things: tuple[Any, ...] = ()
    outcomes: tuple[Outcome, ...] = ()


def subjects_of(rule: Rule, about: About, scope: Scope) -> Subjects:
    """The things that a rule looks at, or why there are none."""
    if about == "cage":
        return Subjects(things=(scope.facts,))
    name, words = _LISTS[about]
    listed = getattr(scope.facts, name)
    if listed is None:
        return Subjects(outcomes=(_unknown("", f"give {words}"),))
    things, outcomes = [], []
    for thing in listed:
        if about == "measure" and thing.name != rule.limits.of:  # type: ignore[attr-defined]
            continue
        taken = _taken(thing, rule, scope)
        if taken == "yes":
            things.append(thing)
        elif taken:
            outcomes.append(_unknown(name_of(thing), taken))
    if not things and not outcomes:
        outcomes.append(_none(rule, about, scope))
    return Subjects(things=tuple(things), outcomes=tuple(outcomes))


def name_of(thing: Any) -> str:
    """What a thing is called in a row."""
    for key in ("bar_id", "about", "name", "joint_id", "driver_id"):
        if hasattr(thing, key):
            return str(getattr(thing, key))
    side = getattr(thing, "side", "")
    return f"door opening {side}".strip()


def _taken(thing: Any, rule: Rule, scope: Scope) -> str:
    """`yes`, empty for no, or what to give to tell."""
    if hasattr(thing, "role") and (rule.roles or rule.but):
        if thing.role is None:
            return "give the bar a role"
        if not scope.takes(thing.role):
            return ""
    if hasattr(thing, "roles") and rule.roles and not set(rule.roles) <= set(thing.roles):
        return ""
    wanted = rule.conditions.required
    if wanted is not None and hasattr(thing, "is_required") and thing.is_required is not wanted:
        return "say whether the book demands this bar" if thing.is_required is None else ""
    fixing = rule.conditions.fixing
    if fixing is not None and hasattr(thing, "is_bolted") and thing.is_bolted is not (fixing == "bolted"):
        return "say whether the foot is welded or bolted" if thing.is_bolted is None else ""
    return "yes"


def _none(rule: Rule, about: About, scope: Scope) -> Outcome:
    """Nothing that the rule is for: told, but for a measure that nobody took of a bar that may be there."""
    if about == "measure" and not _surely_without(rule, scope):
        return _unknown("", f"give {MEASURES[rule.limits.of].give}")  # type: ignore[attr-defined]
    if about == "driver":
        return _unknown("", "give a driver's measures")
    what = _role_words(rule.roles) or about
    return Outcome(verdict=Verdict.NOT_APPLICABLE, note=f"there is no {what}")


def _surely_without(rule: Rule, scope: Scope) -> bool:
    """Whether it is known that the cage has no bar of the rule's roles."""
    bars = scope.facts.bars
    if bars is None or not rule.roles:
        return False
    return all(bar.role is not None and not scope.takes(bar.role) for bar in bars)


def _role_words(roles: tuple[Role, ...]) -> str:
    return one_of(role.value for role in roles)


def _unknown(about: str, give: str) -> Outcome:
    return Outcome(about=about, verdict=Verdict.NOT_CHECKED, todo=give)
