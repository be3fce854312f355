"""`hoopwright tubes`: which tubes a rule book allows for a bar."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, show, stopping_on_findings, table_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hoopwright.jobs.tube_lists import PricedTube, TubeList

_MOST = 12
_LIGHTEST = 10


def tubes(
    project: Annotated[
        Path | None, typer.Argument(help="Project folder: its book, its car, its rules.")
    ] = None,
    role: Annotated[str, typer.Option(help="What the bar is, such as 'main hoop'.")] = "main hoop",
    book: Annotated[str | None, typer.Option(help="A book by name or file; the pinned one without.")] = None,
    weight: Annotated[
        list[str] | None, typer.Option(help="Weight and what it counts: '1180 kg kerb'. Repeatable.")
    ] = None,
    optional: Annotated[
        bool, typer.Option("--optional", help="A bar that the book does not demand.")
    ] = False,
    rates: Annotated[Path | None, typer.Option(help="Your rates file, for the price of a metre.")] = None,
    every: Annotated[
        bool, typer.Option("--all", help="List all that pass, and the others too, each with why not.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Sizes and steels that a book allows for a bar, the lightest ten first, and why the others are not."""
    from hoopwright.cage import Role
    from hoopwright.jobs.cars import typed_weight
    from hoopwright.jobs.tube_lists import TubeWish, tubes_for
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        wish = TubeWish(
            role=Role(typed.one_of(role, tuple(one.value for one in Role), "a role")),
            book=book,
            weights=tuple(typed_weight(text) for text in weight or ()),
            is_required=not optional,
            rates=rates,
        )
        found = tubes_for(wish, None if project is None else ProjectFolder(path=project))
        show(as_json, lambda: _keys(found), _text(found, every), found.findings)


def _keys(found: "TubeList") -> dict[str, Any]:
    return {
        "book_id": found.book.book_id,
        "edition": found.book.edition,
        "role": found.role.value,
        "currency": found.currency,
        "tubes": [
            {
                "tube": one.choice.size.words,
                "od_mm": one.choice.size.tube.od_mm,
                "wall_mm": one.choice.size.tube.wall_mm,
                "steel": one.choice.steel.name,
                "process": one.choice.steel.process,
                "verdict": one.choice.verdict.value,
                "kg_per_m": one.choice.kg_per_m,
                "ei_n_mm2": one.choice.ei_n_mm2,
                "moment_n_mm": one.choice.moment_n_mm,
                "price_per_m": None if one.price_per_m is None else float(one.price_per_m),
                "why": list(one.choice.why),
                "rules": list(one.choice.rules),
            }
            for one in found.tubes
        ],
    }


def _text(found: "TubeList", every: bool) -> str:
    head = f"{found.book.body}, edition {found.book.edition}: tube of a {found.role.value}"
    shown = found.allowed if every else found.allowed[:_LIGHTEST]
    lines = [
        head,
        "",
        _table(found, shown) or "none of the common tubes is wholly known to meet the limits",
    ]
    lines += _more(len(found.allowed) - len(shown), "that meet the limits")
    if found.not_known:
        shown = found.not_known if every else found.not_known[:_LIGHTEST]
        reasons = list(dict.fromkeys(why for one in found.not_known for why in one.choice.why))
        lines += ["", f"meet what is known of them, {len(found.not_known)} in all; for these is wanted:"]
        lines += [f"  {why}" for why in reasons[:_MOST]]
        lines += [_table(found, shown), *_more(len(found.not_known) - len(shown), "such")]
    kept = (*found.allowed, *found.not_known)
    others = [one for one in found.tubes if one not in kept]
    if others and every:
        lines += ["", "not allowed, or without a limit:"]
        lines += [
            f"  {one.choice.size.words}, {one.choice.steel.name}: "
            + ("; ".join(one.choice.why) or "the book has no limit on it")
            for one in others
        ]
    elif others:
        lines += ["", f"{len(others)} others are not allowed, or without a limit; --all says why"]
    lines += [
        "Strengths are least values of the steel; the certificate of the tube decides.",
        "'hoopwright bar tube PROJECT BAR SIZE' changes a bar, and all that hangs on it.",
    ]
    return "\n".join(lines)


def _more(count: int, which: str) -> list[str]:
    return [f"and {count} heavier ones {which}; --all lists them"] if count else []


def _table(found: "TubeList", tubes: "Sequence[PricedTube]") -> str:
    heads = ["tube", "steel", "kg/m", "stiffness kN m2", "yields at N m", f"price/m {found.currency}".strip()]
    return table_text(heads, [_row(one) for one in tubes]) if tubes else ""


def _row(one: "PricedTube") -> list[str]:
    choice = one.choice
    return [
        choice.size.words,
        choice.steel.name,
        f"{choice.kg_per_m:.2f}",
        one.stiffness_words,
        one.moment_words,
        "" if one.price_per_m is None else f"{one.price_per_m:.2f}",
    ]
