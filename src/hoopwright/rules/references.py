"""Rules that lean on other rules of their book: copied limits (`same_as`) and alternatives (`unless`)."""

from collections.abc import Mapping, Sequence
from typing import Any

from hoopwright.findings import Finding
from hoopwright.rules.book import Rule
from hoopwright.rules.book_keys import RULE_KEYS
from hoopwright.rules.refusals import BookFile

_OWN = (*RULE_KEYS, "case")


def with_copied(
    tables: Sequence[dict[str, Any]], file: BookFile
) -> tuple[list[dict[str, Any]], list[Finding]]:
    """Each rule's keys, with the kind and the limits of the rule that `same_as` names where it types none itself.

    Returns:
        The tables, and `RULE-007` for a rule that is not there or copies itself in the end.
    """
    by_id = {str(table.get("id")): table for table in tables}
    links = {rule_id: str(table["same_as"]) for rule_id, table in by_id.items() if table.get("same_as")}
    faults: list[Finding] = []
    filled = []
    for number, table in enumerate(tables):
        chain = _chain(str(table.get("id")), links)
        if table.get("same_as") and (chain[-1] not in by_id or chain[-1] in chain[:-1]):
            faults.append(_fault(file, (number, "same_as"), chain, chain[-1] in by_id))
            filled.append({**table, "kind": ""})
            continue
        limits: dict[str, Any] = {}
        for rule_id in reversed(chain):
            source = by_id.get(rule_id, table)
            limits |= {key: value for key, value in source.items() if key not in _OWN or key == "kind"}
        filled.append({**limits, **table})
    return filled, faults


def reference_faults(rules: Sequence[Rule | None], file: BookFile) -> list[Finding]:
    """`RULE-006` for names that two rules have; `RULE-007` for `unless` in a circle or on a rule that is not there."""
    faults = []
    first: dict[str, int] = {}
    for number, rule in enumerate(rules):
        if rule is None:
            continue
        if rule.rule_id in first:
            what = f"rule '{rule.rule_id}' is there already, on line {rules[first[rule.rule_id]].line}"  # type: ignore[union-attr]
            faults.append(
                file.fault(
                    "RULE-006", ("rule", number, "id"), what, "Give each rule its own id.", rule.rule_id
                )
            )
        first.setdefault(rule.rule_id, number)
    if None in rules:  # a rule that could not be read may be the one that is meant
        return faults
    links = {rule.rule_id: rule.unless for rule in rules if rule is not None and rule.unless}
    for rule_id, unless in links.items():
        chain = _chain(rule_id, links)
        if unless not in first or chain[-1] in chain[:-1]:
            faults.append(_fault(file, (first[rule_id], "unless"), chain, unless in first))
    return faults


def _chain(start: str, links: Mapping[str, str]) -> list[str]:
    """Names from one rule along its links, until there is none or one comes again."""
    chain = [start]
    while chain[-1] in links:
        following = links[chain[-1]]
        chain.append(following)
        if following in chain[:-1]:
            break
    return chain


def _fault(file: BookFile, at: tuple[int, str], chain: Sequence[str], is_there: bool) -> Finding:
    number, key = at
    if is_there:
        what = f"rule '{chain[0]}' leans on itself: {' -> '.join(chain)}"
        todo = "Break the circle: one of them needs limits of its own."
    else:
        what, todo = (
            f"rule '{chain[0]}': there is no rule '{chain[-1]}'",
            "Name the id of a rule of this book.",
        )
    return file.fault("RULE-007", ("rule", number, key), what, todo, chain[0])
