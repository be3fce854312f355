"""The usual rates as fields: read from the text of the rates, and put back into it with all its notes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from hoopwright.jobs.cuts import StickPrice
from hoopwright.jobs.quotes import rates_known
from hoopwright.jobs.stick_rates import USUAL_STICK_MM
from hoopwright.jobs.stock import ProjectStock
from hoopwright.jobs.typed_texts import TypedText, keep_rates_text, rates_text
from hoopwright.stock.rate_edits import Place, value_at, with_values
from hoopwright.stock.rate_files import rates_from_bytes
from hoopwright.stock.rates import Rates, TubeRate, same_size, same_steel
from hoopwright.store import ProjectFolder
from hoopwright.tubes import TubeSize

_KINDS = {"per_metre": "a metre", "per_foot": "a foot", "per_kg": "a kilogram", "per_stick": "a stick"}
_USUAL: tuple[tuple[Place, str], ...] = (
    (("currency",), "Currency, as it is printed"),
    (("price", "per_hour"), "An hour of work"),
    (("price", "sheet_per_kg"), "A kilogram of plate, as cut"),
    (("price", "bolt_each"), "A bolt with nut and washer"),
    (("minutes", "set_up"), "Minutes to set the job up"),
    (("minutes", "per_bar"), "Minutes a bar: marking, sawing, handling"),
    (("minutes", "per_bend"), "Minutes a bend"),
    (("minutes", "per_cope"), "Minutes a cope"),
    (("minutes", "per_foot"), "Minutes a foot: a leg cut to its landing"),
    (("minutes", "per_weld_metre"), "Minutes a metre of weld"),
    (("minutes", "per_plate"), "Minutes a landing"),
    (("minutes", "per_gusset"), "Minutes a gusset"),
    (("discount", "percent"), "Discount, %"),
    (("tax", "percent"), "Tax, %"),
)


@dataclass(frozen=True, kw_only=True)
class RateField:
    """One rate as it can be typed.

    Args:
        place: Where it stands in the file.
        label: What it is.
        value: As it stands there; empty for not priced.
    """

    place: Place
    label: str
    value: str


@dataclass(frozen=True, kw_only=True)
class RateFields:
    """The usual rates that count for a project.

    Args:
        file: The text that they are in.
        fields: Each of them.
    """

    file: TypedText
    fields: tuple[RateField, ...]


def rate_fields(folder: ProjectFolder) -> RateFields:
    """The usual rates, those of the project's tube sizes first.

    Raises:
        UserError: `COST-020` when they cannot be read; `COST-001` to `COST-003` for a faulty text.
    """
    file = rates_text(folder)
    rates = rates_from_bytes(file.text.encode(), file.file.name)
    places = [*_tube_places(rates), *_USUAL]
    return RateFields(
        file=file,
        fields=tuple(
            RateField(place=place, label=label, value=value_at(file.text, place)) for place, label in places
        ),
    )


def keep_rate_fields(folder: ProjectFolder, was: RateFields, typed: Mapping[Place, str]) -> TypedText:
    """Put what was typed into the file of the rates; notes and all else in it stay.

    Args:
        folder: The project.
        was: As the person began from.
        typed: What the fields say now.

    Raises:
        UserError: `COST-002` and `COST-003` for what cannot be, `COST-027`; `WEB-120` where the file was changed
            meanwhile. Nothing is written then.
    """
    changed = {
        one.place: typed[one.place].strip() for one in was.fields if typed[one.place].strip() != one.value
    }
    text = with_values(was.file.text, changed, was.file.file.name)
    return keep_rates_text(folder, text, was=was.file.sha256)


def keep_stick_price(
    folder: ProjectFolder, price: StickPrice, tubes: Sequence[tuple[TubeSize, str]], stick_mm: float
) -> tuple[str, ...]:
    """Keep a price typed for sticks with the rates, for each size that has none there yet.

    A price that the rates have already is not changed by what was typed for one plan.

    Args:
        folder: The project.
        price: As typed.
        tubes: Sizes and steels that it was typed for.
        stick_mm: Length of the sticks, for a price by the stick.

    Returns:
        The sizes that it was kept for.

    Raises:
        UserError: As `keep_rate_fields`.
    """
    rates = rates_known(None, folder).rates
    lacking = [one for one in dict.fromkeys(tubes) if rates.tube_rate(*one) is None]
    if not lacking:
        return ()
    now = rates_text(folder)
    blocks = list(rates_from_bytes(now.text.encode(), now.file.name).tubes)
    values: dict[Place, str] = {}
    for tube, steel in lacking:
        number = _block_of(blocks, tube, steel)
        if number == len(blocks):
            blocks.append(TubeRate(tube=tube, steel=steel))
            values |= {
                ("tube", number, "od"): f"{tube.od_mm:g} mm",
                ("tube", number, "wall"): f"{tube.wall_mm:g} mm",
                ("tube", number, "steel"): steel,
            }
        values["tube", number, "per_metre" if price.per_metre else "per_stick"] = f"{price.amount:.10g}"
        if not price.per_metre:
            values["tube", number, "stick"] = f"{stick_mm:g} mm"
    keep_rates_text(folder, with_values(now.text, values, now.file.name), was=now.sha256)
    return tuple(str(tube) for tube, _ in lacking)


def keep_planned_price(folder: ProjectFolder, found: ProjectStock) -> tuple[str, ...]:
    """Keep the price that was typed for a plan, as `keep_stick_price` does."""
    price, offers = found.wishes.price, found.wishes.offers
    if price is None:
        return ()
    tubes = [(group.tube, group.steel) for group in found.groups if group.tube is not None]
    return keep_stick_price(folder, price, tubes, offers[0].length_mm if offers else USUAL_STICK_MM)


def tube_price_words(folder: ProjectFolder) -> str:
    """What the rates have of the prices of a project's tubes, in a line; empty where they have none.

    Raises:
        UserError: `COST-001` to `COST-003` and `COST-020` for rates that cannot be read.
    """
    rates = rates_known(None, folder).rates
    sizes = sorted({(member.tube, member.steel) for member in folder.open().project.cage.members})
    known = [(tube, steel, rates.tube_rate(tube, steel)) for tube, steel in sizes]
    return "; ".join(
        f"{tube}{f' {steel}' if steel else ''} at {getattr(rate, kind):f} {_KINDS[kind]}"
        for tube, steel, rate in known
        if rate is not None
        for kind in rate.prices
    )


def _block_of(blocks: Sequence[TubeRate], tube: TubeSize, steel: str) -> int:
    """The block of a size without a price; one after the last where there is none."""
    for number, rate in enumerate(blocks):
        if rate.tube is not None and same_size(rate.tube, tube) and same_steel(rate.steel, steel):
            return number
    return len(blocks)


def _tube_places(rates: Rates) -> list[tuple[Place, str]]:
    places: list[tuple[Place, str]] = []
    for number, rate in enumerate(rates.tubes):
        name = "any other size" if rate.tube is None else f"{rate.tube} mm"
        steel = f", {rate.steel}" if rate.steel else ""
        places += [
            (("tube", number, kind), f"Tube {name}{steel}: {_KINDS[kind]}")
            for kind in rate.prices or ("per_metre",)
        ]
    return places
