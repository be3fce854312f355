"""One rule of a book from its keys, with its limits and its cases."""

import difflib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError

from hoopwright.findings import Finding
from hoopwright.rules.book import Case, Provenance, Rule
from hoopwright.rules.book_keys import CONDITION_KEYS, RULE_KEYS, HeadKeys, RuleKeys
from hoopwright.rules.case_keys import FLAT, CaseKeys, facts_of
from hoopwright.rules.conditions import Conditions
from hoopwright.rules.facts import Facts
from hoopwright.rules.kinds.kind import Kind
from hoopwright.rules.kinds.limits import Limits
from hoopwright.rules.kinds.registry import KINDS, LOAD_TEST, QUESTION
from hoopwright.rules.lines import Path, line_of
from hoopwright.rules.refusals import BookFile, names_of

_NOT_KEPT = ("applies", "same_as", "provenance")
_PROVENANCES = ", ".join(provenance.value for provenance in Provenance)


@dataclass(frozen=True, kw_only=True)
class Read:
    """What is known while a rule is read.

    Args:
        file: The file, for faults.
        head: The head of the book.
        context: Units of bare numbers.
    """

    file: BookFile
    head: HeadKeys
    context: Mapping[str, Any]


def read_rule(table: Mapping[str, Any], number: int, read: Read, faults: list[Finding]) -> Rule | None:
    """One rule; faults are added to `faults`, and None is no rule."""
    path: Path = ("rule", number)
    where = f"rule '{str(table.get('id', number + 1))[:60]}'"
    keys = _common(table, path, where, read, faults)
    kind = _kind(table, path, where, read, faults)
    limits = None if kind is None else _limits(kind, table, path, where, read, faults)
    if keys is None or kind is None or limits is None:
        return None
    if keys.edition and keys.edition != read.head.edition and not read.head.mixes_editions:
        what = f"{where} is of edition '{keys.edition}', and the book of '{read.head.edition}'"
        todo = (
            "One file holds one edition: move the rule to a file of its own. A reading aid whose lines are of several "
            "says mixes_editions = true in [book]."
        )
        faults.append(read.file.fault("RULE-008", (*path, "edition"), what, todo, keys.rule_id))
    provenance = keys.provenance or read.head.provenance
    if provenance is None:
        todo = f"Add provenance = ... here or in [book]: {_PROVENANCES}."
        faults.append(
            read.file.fault("RULE-004", path, f"{where}: provenance is missing", todo, keys.rule_id)
        )
        return None
    rule = Rule(
        **{name: value for name, value in dict(keys).items() if name not in (*CONDITION_KEYS, *_NOT_KEPT)},
        roles=keys.applies,
        conditions=Conditions(**{name: getattr(keys, name) for name in CONDITION_KEYS}),
        limits=limits,
        provenance=provenance,
        line=line_of(read.file.lines, path),
    )
    if rule.kind == QUESTION and not rule.question:
        todo = 'Add question = "...": what the person shall look at and answer.'
        faults.append(read.file.fault("RULE-004", path, f"{where}: question is missing", todo, keys.rule_id))
    if (keys.weight_basis or read.head.weight_basis) is None and _asks_for_weight(rule):
        todo = "Add weight_basis = ... here or in [book]: what the book's weights count."
        faults.append(
            read.file.fault("RULE-004", path, f"{where}: its weights have no basis", todo, keys.rule_id)
        )
    return replace(rule, cases=_cases(table, rule, kind, path, read, faults))


def _asks_for_weight(rule: Rule) -> bool:
    conditions = rule.conditions
    weighed = conditions.weight_over_kg is not None or conditions.weight_most_kg is not None
    return weighed or rule.kind == LOAD_TEST or bool(getattr(rule.limits, "bands", ()))


def _common(
    table: Mapping[str, Any], path: Path, where: str, read: Read, faults: list[Finding]
) -> RuleKeys | None:
    typed = {key: value for key, value in table.items() if key in RULE_KEYS}
    try:
        return RuleKeys.model_validate(typed, context=dict(read.context))
    except ValidationError as error:
        faults += read.file.faults(error, path, where, RULE_KEYS)
        return None


def _kind(table: Mapping[str, Any], path: Path, where: str, read: Read, faults: list[Finding]) -> Kind | None:
    name = table.get("kind")
    # told already: a name that is no text, a reference to no rule
    if (name is not None and not isinstance(name, str)) or (name == "" and table.get("same_as")):
        return None
    if isinstance(name, str) and name in KINDS:
        return KINDS[name]
    what = f"{where}: '{str(name)[:60]}' is not a kind of check" if name else f"{where}: kind is missing"
    near = difflib.get_close_matches(str(name), KINDS, n=1, cutoff=0.6)
    todo = (f"Did you mean '{near[0]}'? " if near else "") + f"Kinds are: {', '.join(KINDS)}."
    faults.append(read.file.fault("RULE-005", (*path, "kind"), what, todo))
    return None


def _limits(
    kind: Kind, table: Mapping[str, Any], path: Path, where: str, read: Read, faults: list[Finding]
) -> Limits | None:
    typed = {key: value for key, value in table.items() if key not in (*RULE_KEYS, "case")}
    known = (*RULE_KEYS, "case", *names_of(kind.limits))
    try:
        return kind.limits.model_validate(typed, context=dict(read.context))
    except ValidationError as error:
        faults += read.file.faults(error, path, f"{where} ({kind.name})", known)
        return None


def _cases(
    table: Mapping[str, Any], rule: Rule, kind: Kind, path: Path, read: Read, faults: list[Finding]
) -> tuple[Case, ...]:
    typed = table.get("case", [])
    path = (*path, "case")
    if not isinstance(typed, list) or not all(isinstance(one, dict) for one in typed):
        what = f"rule '{rule.rule_id}': 'case' is not a list of tables"
        faults.append(read.file.fault("RULE-004", path, what, "Head each case with [[rule.case]]."))
        return ()
    cases = (
        _case(one, number, rule, kind, (*path, number), read, faults) for number, one in enumerate(typed)
    )
    return tuple(case for case in cases if case is not None)


def _case(
    typed: Mapping[str, Any],
    number: int,
    rule: Rule,
    kind: Kind,
    path: Path,
    read: Read,
    faults: list[Finding],
) -> Case | None:
    where = f"rule '{rule.rule_id}', case {number + 1}"
    if "expect" not in typed:
        todo = 'Add expect = "pass", "fail", "not checked" or "not applicable".'
        faults.append(read.file.fault("RULE-004", path, f"{where}: expect is missing", todo, rule.rule_id))
        return None
    about = kind.about(rule.limits)
    name, model = FLAT.get(about, ("", CaseKeys))
    known = names_of(CaseKeys)
    own = set(names_of(model)) if name else set()
    flat = {key: value for key, value in typed.items() if key in own or key not in known}
    rest = {key: value for key, value in typed.items() if key not in flat}
    context = {**read.context, "of": getattr(rule.limits, "of", "")}
    try:
        if flat and not name:
            key = next(iter(flat))
            faults.append(read.file.unknown_key((*path, key), where, key, known))
            return None
        keys = CaseKeys.model_validate(rest, context=context)
        one = model.model_validate(flat, context=context) if flat else None
    except ValidationError as error:
        faults += read.file.faults(error, path, where, (*own, *known))
        return None
    basis = rule.weight_basis or read.head.weight_basis
    facts = facts_of(keys, basis=basis, unit=read.head.unit, of=context["of"])
    if one is not None:
        facts = _with_flat(facts, name, one, rule, read.head.unit, context["of"])
    return Case(
        name=keys.name or f"case {number + 1}",
        facts=facts,
        expect=keys.expect,
        is_advisory=keys.advised,
        basis=keys.basis,
        line=line_of(read.file.lines, path),
    )


def _with_flat(facts: Facts, name: str, one: Any, rule: Rule, unit: str, of: str) -> Facts:
    """The facts with what was typed flat, which has the first role that the rule is for unless it says another."""
    thing = one.facts(unit, of) if name == "measures" else one.facts()
    if rule.roles and hasattr(thing, "role") and thing.role is None:
        thing = replace(thing, role=rule.roles[0])
    if rule.roles and hasattr(thing, "roles") and not thing.roles:
        thing = replace(thing, roles=frozenset(rule.roles))
    listed: dict[str, Any] = {name: (thing, *(getattr(facts, name) or ()))}
    return replace(facts, **listed)
