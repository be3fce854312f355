"""Quotes and rates as a person reads them and as JSON; amounts of money are texts there, since they are exact."""

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from hoopwright.cli.output import table_text
from hoopwright.units import nearest, shown

if TYPE_CHECKING:
    from decimal import Decimal

    from hoopwright.bars import Mass
    from hoopwright.jobs.bought_tubes import BoughtTube
    from hoopwright.jobs.quantities import Quantities
    from hoopwright.jobs.quotes import Quote, RatesKnown
    from hoopwright.stock.bought import SticksNeeded
    from hoopwright.stock.money import Priced, PriceLine
    from hoopwright.stock.rates import Rates

_NOT_PRICED = "not priced"


def quote_text(made: "Quote", pdf: Path | None) -> str:
    """What is made, quantities, lines, totals."""
    parts = [members_text(made.quantities), facts_text(made.quantities, made.sticks), _lines_text(made)]
    parts.append(_totals_text(made))
    parts += ["\n".join(made.assumptions)]
    if pdf is not None:
        parts.append(f"written: {pdf}")
    return "\n\n".join(parts)


def members_text(found: "Quantities") -> str:
    """Mass and centre of each bar and plate, and of all."""
    heads = ["part", "what", "tube", "length mm", "kg", "forward", "left", "up"]
    rows = [
        [one.bar_id, one.role.value, str(one.tube), shown(one.length_mm, 1), *_mass_cells(one.mass)]
        for one in found.mass.members
    ]
    rows += [[one.name, "", "", "", *_mass_cells(one.mass)] for one in found.mass.plates]
    rows.append(["all", "", "", "", *_mass_cells(found.mass.total)])
    return table_text(heads, rows)


def _mass_cells(mass: "Mass") -> list[str]:
    return [shown(mass.mass_kg, 2), *(str(nearest(value)) for value in mass.centre_mm)]


def facts_text(found: "Quantities", sticks: "Sequence[BoughtTube]" = ()) -> str:
    """Metres, sticks where they are known, counts and welds."""
    bought = {(one.tube, one.steel): one.needed for one in sticks}
    rows = [
        [
            ", ".join(filter(None, (str(one.tube), one.steel))),
            shown(one.net_mm / 1e3, 3),
            shown(one.cut_mm / 1e3, 3),
            _sticks(bought.get((one.tube, one.steel))),
        ]
        for one in found.tubes
    ]
    lines = [table_text(["tube", "m in the cage", "m as sawn", "to buy"], rows)]
    lines.append(
        f"{found.bars} bars, {found.bends} bends, {found.copes} copes, {found.feet} feet, {found.landings} landings, "
        f"{found.gussets} gussets, {found.bolts} bolts, {shown(found.sheet_kg, 2)} kg of sheet"
    )
    welds = ", ".join(f"{one.kind} {shown(one.length_mm / 1e3, 2)} m ({one.count})" for one in found.welds)
    lines.append(f"weld {shown(found.weld_mm / 1e3, 2)} m: {welds}" if welds else "no weld is known")
    return "\n".join(lines)


def _sticks(needed: "SticksNeeded | None") -> str:
    if needed is None:
        return "no stick length typed"
    proof = "" if needed.count == needed.at_least else f" (at least {needed.at_least})"
    return f"{needed.count} x {needed.stick_mm / 1e3:g} m{proof}"


def _lines_text(made: "Quote") -> str:
    found = made.priced
    of = f" {found.currency}" if found.currency else ""
    rows = [
        [
            line.what,
            line.basis,
            "" if line.quantity is None else f"{line.quantity:f} {line.unit}",
            _money(line.price),
            f"{_NOT_PRICED}: {line.missing}" if line.amount is None else _money(line.amount),
        ]
        for line in found.lines
    ]
    return table_text(["what", "how much", "", f"price{of}", f"amount{of}"], rows)


def _totals_text(made: "Quote") -> str:
    found = made.priced
    lines = [f"{'hours of work':<20}{found.hours:f} h"] if found.hours else []
    if not found.is_priced:
        return "\n".join([*lines, f"{'total':<20}{_NOT_PRICED}"])
    part = (
        f" (of what is priced: {len(found.missing)} of {len(found.lines)} lines are not)"
        if found.missing
        else ""
    )
    after = f" {found.currency}" if found.currency else ""
    amounts = [
        ("sum", found.subtotal),
        ("discount", None if found.discount is None else -found.discount),
        ("after discount", None if found.discount is None else found.net),
        (made.rates.tax_name, found.tax),
        ("total", found.total),
    ]
    lines += [f"{words:<20}{_money(amount)}{after}" for words, amount in amounts if amount is not None]
    until = f"\nholds until {made.valid_until}" if made.valid_until else ""
    return "\n".join(lines) + part + until


def _money(amount: "Decimal | None") -> str:
    return "" if amount is None else f"{amount:f}"


def quote_keys(made: "Quote", pdf: Path | None) -> dict[str, Any]:
    """Everything of a quote."""
    return {
        "project": made.quantities.project,
        "date": made.date,
        "valid_until": made.valid_until,
        "identity": made.quantities.identity,
        "quantities": quantity_keys(made.quantities),
        "sticks": [stick_keys(one) for one in made.sticks],
        "rates_file": None if made.rates_file is None else str(made.rates_file),
        "learnt": None if made.learnt is None else dict(vars(made.learnt)),
        "money": money_keys(made.priced),
        "assumptions": list(made.assumptions),
        "pdf": None if pdf is None else str(pdf),
    }


def quantity_keys(found: "Quantities") -> dict[str, Any]:
    """What a cage takes."""
    return {
        "members": [
            {
                "bar_id": one.bar_id,
                "role": one.role.value,
                "od_mm": one.tube.od_mm,
                "wall_mm": one.tube.wall_mm,
                "steel": one.steel,
                **_mass_keys(one.mass),
                "length_mm": one.length_mm,
                "bends": one.bends,
                "ends": list(one.ends),
                "is_bent": one.is_bent,
            }
            for one in found.mass.members
        ],
        "plates": [{"name": one.name, **_mass_keys(one.mass)} for one in found.mass.plates],
        "bars": _mass_keys(found.mass.bars),
        "total": _mass_keys(found.mass.total),
        "tubes": [
            {
                "od_mm": one.tube.od_mm,
                "wall_mm": one.tube.wall_mm,
                "steel": one.steel,
                "net_mm": one.net_mm,
                "cut_mm": one.cut_mm,
                "pieces_mm": list(one.pieces_mm),
                "net_kg": one.net_kg,
            }
            for one in found.tubes
        ],
        "bar_count": found.bars,
        "bend_count": found.bends,
        "cope_count": found.copes,
        "foot_count": found.feet,
        "landing_count": found.landings,
        "gusset_count": found.gussets,
        "bolt_count": found.bolts,
        "sheet_kg": found.sheet_kg,
        "weld_mm": found.weld_mm,
        "welds": [dict(vars(one)) for one in found.welds],
    }


def stick_keys(one: "BoughtTube") -> dict[str, Any]:
    """What is to be bought of one tube."""
    tube = {"od_mm": one.tube.od_mm, "wall_mm": one.tube.wall_mm, "steel": one.steel}
    return {**tube, **vars(one.needed), "bought_mm": one.needed.bought_mm}


def _mass_keys(mass: "Mass") -> dict[str, Any]:
    return {"mass_kg": mass.mass_kg, "centre_mm": list(mass.centre_mm)}


def money_keys(found: "Priced") -> dict[str, Any]:
    """Lines and totals, amounts as texts."""
    totals = ("subtotal", "discount", "net", "tax", "total")
    return {
        "currency": found.currency,
        "is_priced": found.is_priced,
        "lines": [_line_keys(line) for line in found.lines],
        "missing": [line.what for line in found.missing],
        "hours": str(found.hours),
        **{name: _text_or_none(getattr(found, name)) for name in totals},
    }


def _line_keys(line: "PriceLine") -> dict[str, Any]:
    numbers = {name: _text_or_none(getattr(line, name)) for name in ("quantity", "price", "amount")}
    return {**vars(line), **numbers}


def _text_or_none(number: "Decimal | None") -> str | None:
    return None if number is None else f"{number:f}"


def rates_text(known: "RatesKnown") -> str:
    """Which rates count, and which are typed."""
    if known.file is None:
        return "no rates file"
    rows = [[name, value or "not typed"] for name, value in _rate_rows(known.rates)]
    return f"{known.file}\n{table_text(['rate', 'typed'], rows)}"


def _rate_rows(rates: "Rates") -> Iterable[tuple[str, str]]:
    yield "currency", rates.currency
    for tube in rates.tubes:
        size = "any size" if tube.tube is None else str(tube.tube)
        prices = ", ".join(f"{name} {getattr(tube, name):f}" for name in tube.prices)
        yield f"tube {size}{f', {tube.steel}' if tube.steel else ''}", prices
    for name in (
        "sheet_per_kg",
        "bolt_each",
        "per_hour",
        "discount_percent",
        "discount_amount",
        "tax_percent",
    ):
        yield name, _money(getattr(rates, name))
    for name, minutes in vars(rates.minutes).items():
        yield f"minutes {name}", _money(minutes)
    for extra in rates.extras:
        yield extra.what, _money(extra.amount) or (f"{extra.hours:f} h" if extra.hours is not None else "")


def rates_keys(known: "RatesKnown") -> dict[str, Any]:
    """Which rates count, and which are typed."""
    return {
        "file": None if known.file is None else str(known.file),
        "rates": [{"name": name, "typed": value or None} for name, value in _rate_rows(known.rates)],
    }
