"""Which things of a cage a rule looks at, and why it looks at none."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from hoopwright.cage.member import Role
from hoopwright.findings import Verdict
from hoopwright.rules.book import Rule
from hoopwright.rules.facts import FootFacts
from hoopwright.rules.kinds.kind import About
from hoopwright.rules.kinds.outcome import Outcome, by_hand, end_on_nothing, give_feet
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
_YES, _RULED_OUT = "yes", "ruled out"
WHOLE = ("L", "R", "cage")
"""A side of the car, or all of it, as what something was measured at."""


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
        give = give_feet(_may_be(scope)) if about == "foot" else f"give {words}"
        return Subjects(outcomes=(_unknown("", give),))
    things, outcomes, is_ruled_out = [], [], False
    for thing in listed:
        if about == "measure" and thing.name != rule.limits.of:  # type: ignore[attr-defined]
            continue
        taken = _taken(thing, rule, scope)
        if taken == _YES:
            things.append(thing)
        elif taken == _RULED_OUT:
            is_ruled_out = True
        elif taken:
            outcomes.append(_unknown(name_of(thing), taken))
    if things or outcomes:
        outcomes += _of_ends_on_nothing(rule, about, scope, listed)
    if not things and not outcomes:
        outcomes.append(_only_for(rule, about) if is_ruled_out else _none(rule, about, scope))
    return Subjects(things=tuple(things), outcomes=tuple(outcomes))


def name_of(thing: Any) -> str:
    """What a thing is called in a row."""
    for key in ("bar_id", "about", "name", "joint_id", "driver_id"):
        if hasattr(thing, key):
            return str(getattr(thing, key))
    side = getattr(thing, "side", "")
    return f"door opening {side}".strip()


def _taken(thing: Any, rule: Rule, scope: Scope) -> str:
    """Whether a rule looks at a thing: yes, ruled out by a condition, empty for another role, or what to give."""
    if hasattr(thing, "role") and (rule.roles or rule.but):
        if thing.role is None and name_of(thing) not in WHOLE:
            return "give the bar a role"
        if thing.role is None:
            return _of_no_bar(thing, rule)
        if not scope.takes(thing.role):
            return ""
    if hasattr(thing, "roles") and rule.roles and not set(rule.roles) <= set(thing.roles):
        return ""
    wanted = rule.conditions.required
    if wanted is not None and hasattr(thing, "role"):
        is_required = _is_required(thing, scope)
        if is_required is not wanted:
            return "say whether the book demands this bar" if is_required is None else _RULED_OUT
    fixing = rule.conditions.fixing
    if fixing is not None and hasattr(thing, "is_bolted") and thing.is_bolted is not (fixing == "bolted"):
        return "say whether the foot is welded or bolted" if thing.is_bolted is None else _RULED_OUT
    return _YES


def _of_no_bar(measured: Any, rule: Rule) -> str:
    """What was measured at a side or at the cage counts as it is where no model has it; else a bar must be named."""
    if MEASURES[measured.name].by_hand:
        return _YES
    return f"measure it at a {_role_words(rule.roles) or 'bar'}: '{measured.about}' does not say at which"


def _is_required(thing: Any, scope: Scope) -> bool | None:
    """Whether the book demands a bar, or the bar of a foot or of a measure; None where nobody knows."""
    bar_id = name_of(thing).partition(" foot ")[0]
    if hasattr(thing, "is_required"):
        required: bool | None = thing.is_required
        return required
    return next((bar.is_required for bar in scope.facts.bars or () if bar.bar_id == bar_id), None)


def _of_ends_on_nothing(rule: Rule, about: About, scope: Scope, listed: Iterable[Any]) -> list[Outcome]:
    """A row for each end that lands on nothing, of bars that the rule is for and of which nothing else is known."""
    if about not in ("foot", "measure"):
        return []
    name = rule.limits.of if about == "measure" else ""  # type: ignore[attr-defined]
    of_name = [thing for thing in listed if about == "foot" or thing.name == name]
    seen = {bar for thing in of_name for part in name_of(thing).split(" and ") for bar in _bar_and_foot(part)}
    if about == "measure" and (not rule.roles or seen & set(WHOLE)):
        return []
    roles = {bar.bar_id: bar.role for bar in scope.facts.bars or ()}
    found = []
    for end in _may_be(scope):
        bar_id, _, letter = end.partition(" foot ")
        stands_for = FootFacts(bar_id=end, role=roles.get(bar_id))
        if end in seen or (about == "measure" and bar_id in seen):
            continue
        if _taken(stands_for, rule, scope) not in ("", _RULED_OUT):
            found.append(_unknown(end, end_on_nothing(bar_id, letter)))
    return found


def _bar_and_foot(name: str) -> tuple[str, ...]:
    return (name, name.partition(" foot ")[0])


def _only_for(rule: Rule, about: About) -> Outcome:
    """Things of the rule are there, and its conditions are for others."""
    what, wanted = _role_words(rule.roles) or about, rule.conditions
    such = [f"a {what} that is {wanted.fixing}"] if wanted.fixing else []
    if wanted.required is not None:
        such.append(f"a {what} that the book {'demands' if wanted.required else 'does not demand'}")
    return Outcome(verdict=Verdict.NOT_APPLICABLE, note=f"it is only for {' and '.join(such)}")


def _none(rule: Rule, about: About, scope: Scope) -> Outcome:
    """Nothing that the rule is for: told, but for a measure that nobody took of a bar that may be there."""
    if about == "measure" and not _surely_without(rule, scope):
        name = rule.limits.of  # type: ignore[attr-defined]
        how = f"measure it by hand: {by_hand('cage', name)} (or L, R)"
        return _unknown("", how if MEASURES[name].by_hand else f"give {MEASURES[name].give}")
    if about == "foot" and _may_be(scope):
        return _unknown("", give_feet(_may_be(scope)))
    if about == "driver":
        return _unknown("", "give a driver's measures")
    what = _role_words(rule.roles) or about
    return Outcome(verdict=Verdict.NOT_APPLICABLE, note=f"there is no {what}")


def _may_be(scope: Scope) -> tuple[str, ...]:
    """Ends that may be feet, of bars that the rule is for."""
    takes = {bar.bar_id for bar in scope.facts.bars or () if bar.role is None or scope.takes(bar.role)}
    return tuple(name for name in scope.facts.may_be_feet if name.partition(" foot ")[0] in takes)


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
