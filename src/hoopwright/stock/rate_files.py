"""The rates file: TOML, read with every fault named, and a commented file to start from."""

import difflib
import tomllib
from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import combinations
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.stock.rate_keys import RATE_TABLES, RateFile
from hoopwright.stock.rates import Rates, TubeRate, same_size, same_steel
from hoopwright.tubes import TubeSize

LARGEST_FILE_BYTES = 200_000
RATES_VERSION = 1


def rates_from_bytes(content: bytes, file_name: str) -> Rates:
    """Rates from a TOML file.

    Args:
        content: The file.
        file_name: What it is called in findings.

    Raises:
        UserError: `COST-001` when it is no TOML (with the line) or not a text; `COST-002` for keys that it does not
            know and values that cannot be read; `COST-003` for rates that contradict each other.
    """
    keys = _toml(content, file_name)
    try:
        file = RateFile.model_validate(keys)
        rates = file.rates()
    except ValidationError as error:
        raise UserError(*(_fault(file_name, fault) for fault in error.errors())) from None
    except UserError as error:
        raise UserError(
            *(
                _stop("COST-002", file_name, found.sentence.rstrip("."), found.todo)
                for found in error.findings
            )
        ) from None
    faults = tuple(_contradictions(file, rates, file_name))
    if faults:
        raise UserError(*faults)
    return rates


def _toml(content: bytes, file_name: str) -> dict[str, Any]:
    if len(content) > LARGEST_FILE_BYTES:
        raise UserError(
            _stop("COST-001", file_name, "it is over 200 kB, which is no rates file", "Check the file.")
        )
    try:
        return tomllib.loads(content.decode("utf-8-sig"), parse_float=Decimal)
    except UnicodeDecodeError:
        raise UserError(
            _stop("COST-001", file_name, "it is not a text file", "Save it as plain text, UTF-8.")
        ) from None
    # besides syntax: numbers of thousands of digits, endless lists
    except (ValueError, ArithmeticError, RecursionError) as error:
        raise UserError(
            _stop(
                "COST-001",
                file_name,
                f"it is not a rates file: {error}",
                'Mend that line: words and amounts stand between quotes, and "" is left empty.',
            )
        ) from None


def _contradictions(file: RateFile, rates: Rates, name: str) -> Iterator[Finding]:
    if file.version != RATES_VERSION:
        yield _stop(
            "COST-003",
            name,
            f"it is of version {file.version}, this tool reads {RATES_VERSION}",
            "Update the tool.",
        )
    for number, (row, rate) in enumerate(zip(file.tube, rates.tubes, strict=True), start=1):
        at = f"tube {number}"
        if (row.od is None) != (row.wall is None):
            yield _stop(
                "COST-003", name, f"{at} has one of od and wall alone", "Type both, or leave both empty."
            )
        if len(rate.prices) > 1:
            said = ", ".join(rate.prices)
            yield _stop("COST-003", name, f"{at} has more than one price ({said})", "Leave one of them.")
        if rate.per_stick is not None and rate.stick_mm is None:
            yield _stop(
                "COST-003",
                name,
                f"{at} has a price by the stick and no length of one",
                'Type it: stick = "6 m".',
            )
    typed = [(number, rate) for number, rate in enumerate(rates.tubes, start=1) if rate.is_typed]
    for (one, first), (two, second) in combinations(typed, 2):
        if _is_same(first, second):
            yield _stop(
                "COST-003",
                name,
                f"tubes {one} and {two} are of the same size and steel",
                "Leave one of them.",
            )
    if rates.discount_percent is not None and rates.discount_amount is not None:
        yield _stop("COST-003", name, "the discount is typed as percent and as amount", "Leave one of them.")
    for extra in rates.extras:
        if extra.amount is not None and extra.hours is not None:
            yield _stop(
                "COST-003",
                name,
                f"'{extra.what}' is typed as amount and as hours",
                "Leave one, or make two of it.",
            )


def _is_same(first: TubeRate, second: TubeRate) -> bool:
    if first.tube is None or second.tube is None:
        size = first.tube is second.tube
    else:
        size = same_size(first.tube, second.tube)
    return size and same_steel(first.steel, second.steel)


def _fault(name: str, fault: ErrorDetails) -> Finding:
    place, key = _place(fault["loc"])
    if fault["type"] == "extra_forbidden":
        table = RATE_TABLES.get(str(fault["loc"][0])) if len(fault["loc"]) > 1 else RateFile
        known = [] if table is None else [one.alias or key for key, one in table.model_fields.items()]
        near = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
        hint = f"Did you mean '{near[0]}'? " if near else ""
        return _stop(
            "COST-002", name, f"{place} is not known", f"{hint}The keys there are: {', '.join(known)}."
        )
    why = fault["msg"].removeprefix("Value error, ")
    return _stop("COST-002", name, f"{place}: {why}", 'Mend it, or leave it empty: "" is not priced.')


def _place(location: tuple[int | str, ...]) -> tuple[str, str]:
    """Where in the file, as `tube 2, per_metre`, and the key."""
    words = [str(part + 1) if isinstance(part, int) else part for part in location]
    if len(location) > 1 and isinstance(location[1], int):
        return f"{words[0]} {words[1]}, {words[-1]}" if len(words) > 2 else f"{words[0]} {words[1]}", words[
            -1
        ]
    return ", ".join(words), words[-1]


def _stop(code: str, name: str, what: str, todo: str) -> Finding:
    return Finding(code=code, severity=Severity.STOP, sentence=f"{name}: {what}.", todo=todo, objects=(name,))


def rates_template(tubes: Sequence[tuple[TubeSize, str]] = ()) -> str:
    """A rates file to fill in: every key with what it means, and no price.

    Args:
        tubes: Sizes and steels to make a block for each; one empty block without.
    """
    blocks = [_block(tube, steel) for tube, steel in tubes] or [_TUBE.format(od="", wall="", steel="")]
    return _HEAD + "\n".join(blocks) + _REST


def rates_with_sizes(text: str, tubes: Sequence[tuple[TubeSize, str]]) -> str:
    """A rates file with an empty block at its end for each size that has none; as it is where it is faulty.

    Args:
        text: Of the file.
        tubes: Sizes and steels that are asked for.
    """
    try:
        rates = rates_from_bytes(text.encode(), "rates.toml")
    except UserError:
        return text
    lacking = [
        (tube, steel)
        for tube, steel in tubes
        if rates.tube_rate(tube, steel) is None
        and not any(rate.tube is not None and same_size(rate.tube, tube) for rate in rates.tubes)
    ]
    if not lacking:
        return text
    more = "\n".join(_block(tube, steel) for tube, steel in lacking)
    return f"{text.rstrip()}\n\n# Of this project, and not priced yet:\n{more}"


def _block(tube: TubeSize, steel: str) -> str:
    return _TUBE.format(od=f"{tube.od_mm:g} mm", wall=f"{tube.wall_mm:g} mm", steel=_plain(steel))


def _plain(words: str) -> str:
    return "".join(letter for letter in words if letter.isprintable() and letter not in '"\\')


_HEAD = """\
# Your rates. Type between the quotes what you ask; nothing here is invented for you.
# What stays empty ("") is not priced: the quote says so, and never counts it as 0.
# A 0 that you type is a price of 0. Numbers as 12.50 or 12,50, without thousands separators.

version = 1
currency = ""        # as it is to be printed after each amount
decimals = 2         # of amounts
kerf = ""            # what your saw takes between two pieces; 3 mm where empty

# Tube: one block for each size, and for each steel where they differ in price. Type one of the prices.
# With the length of a stick the quote says how many are to be bought, whatever they are priced by.
# A block without od and wall is for every size that has no block with a price; steel = "" is for any steel.

"""
_TUBE = """\
[[tube]]
od = "{od}"
wall = "{wall}"
steel = "{steel}"
per_metre = ""       # of what is sawn, trims counted
per_foot = ""
per_kg = ""
per_stick = ""       # of whole sticks
stick = ""           # length of one, such as 6 m or 20 ft
"""
_REST = """
[price]
sheet_per_kg = ""    # of plates and gussets as cut
bolt_each = ""       # with nut and washer
per_hour = ""        # of work

[minutes]            # what you need; those of a bend can be taken from past jobs: ask when you quote
set_up = ""          # once for the job
per_bar = ""         # marking, sawing, handling
per_bend = ""
per_cope = ""
per_foot = ""        # a leg cut to its landing
per_weld_metre = ""
per_plate = ""       # a landing: cutting, folding, drilling
per_gusset = ""

# Anything else, at an amount or in hours. Repeat the block as often as you like.
[[extra]]
what = ""            # such as stripping the car, paint, travel
amount = ""
hours = ""

[discount]           # one of them, or none
percent = ""
amount = ""

[tax]                # leave the percent empty where none is added
name = "tax"
percent = ""

[quote]
from = [""]          # your name and address, one line each: ["...", "..."]
to = [""]
number = ""
valid_days = ""      # how many days from its date the quote holds
terms = [""]         # sentences below the total
"""
