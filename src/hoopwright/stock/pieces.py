"""What is to be cut, and what it can be cut from."""

from dataclasses import dataclass, field
from typing import Literal

from hoopwright.findings import Finding, Severity, UserError

Source = Literal["buy", "rack", "offcut"]
Goal = Literal["fewest", "least"]

LONGEST_MM = 30_000.0
LARGEST_KERF_MM = 50.0
MOST_PIECES = 5_000
LARGEST_PRICE = 1e6


@dataclass(frozen=True, kw_only=True)
class Piece:
    """A length to be cut, so many times.

    Args:
        name: What it is called, such as its bar.
        length_mm: Its length.
        count: How many of them.
        together: Pieces with the same word here are cut from one batch; empty for none.
        where: File and line where it stands; empty where it comes from no file.
    """

    name: str
    length_mm: float
    count: int = 1
    together: str = ""
    where: str = field(default="", compare=False)


@dataclass(frozen=True, kw_only=True)
class StickOffer:
    """Sticks of one length that can be cut.

    Args:
        length_mm: Length of one.
        count: How many there are; None where as many can be had as are needed.
        source: To be bought, a whole stick on the rack, or an offcut.
        price: Of one; None where it is not known.
        label: What is written on it; empty for one that is not there yet.
        batch: Its batch; sticks to be bought together count as one batch.
        heat_number: As on the certificate; empty where not known.
    """

    length_mm: float
    count: int | None = None
    source: Source = "buy"
    price: float | None = None
    label: str = ""
    batch: str = ""
    heat_number: str = ""


@dataclass(frozen=True, kw_only=True)
class CutRules:
    """How it is cut.

    Args:
        kerf_mm: Width that the saw takes between two parts.
        trim_mm: Taken off each end of a whole stick, with its cut; an offcut has clean ends.
        goal: `least` is the least that is paid, or the least length where prices are not known; `fewest` the fewest
            sticks. A stick on the rack counts as half of one that is bought, an offcut as nothing.
        time_limit_s: How long to look for a better plan.
    """

    kerf_mm: float = 0.0
    trim_mm: float = 0.0
    goal: Goal = "least"
    time_limit_s: float = 30.0


@dataclass(frozen=True, kw_only=True)
class CutTask:
    """Pieces of one tube size and steel, and what they can be cut from.

    Args:
        pieces: What to cut.
        offers: What there is to cut from.
        rules: How it is cut.
        what: Tube size and steel in words, for what is told; empty for none.
    """

    pieces: tuple[Piece, ...]
    offers: tuple[StickOffer, ...]
    rules: CutRules = field(default_factory=CutRules)
    what: str = ""


def check_task(task: CutTask) -> None:
    """Refuse numbers that cannot be.

    Raises:
        UserError: `CUTS-001` to `CUTS-005`, every one that is found.
    """
    faults = [
        *_rule_faults(task.rules),
        *(fault for offer in task.offers for fault in _offer_faults(offer, task.rules)),
        *(fault for piece in task.pieces for fault in piece_faults(piece)),
    ]
    if not task.pieces:
        faults.append(_stop("CUTS-001", "There is no piece to cut.", "Give at least one piece."))
    if not task.offers:
        faults.append(_stop("CUTS-002", "There is no stick to cut from.", "Name a stick length."))
    total = sum(piece.count for piece in task.pieces)
    if not faults and total > MOST_PIECES:
        faults.append(too_many(total))
    faults += [] if faults else _too_long(task)
    if faults:
        raise UserError(*faults)


def piece_faults(piece: Piece) -> tuple[Finding, ...]:
    """What is wrong with the numbers of one piece."""
    lead = _lead(piece)
    faults = []
    if not 0.0 < piece.length_mm <= LONGEST_MM:
        faults.append(
            _stop(
                "CUTS-001",
                f"{lead} '{piece.name}': a length of {piece.length_mm:g} mm is not over 0 and up to {LONGEST_MM:g} mm.",
                "Correct the length.",
                piece.name,
            )
        )
    if not 1 <= piece.count <= MOST_PIECES:
        faults.append(
            _stop(
                "CUTS-001",
                f"{lead} '{piece.name}': a count of {piece.count} is not 1 to {MOST_PIECES}.",
                "Correct the count.",
                piece.name,
            )
        )
    return tuple(faults)


def _lead(piece: Piece) -> str:
    return f"{piece.where}: piece" if piece.where else "Piece"


def too_many(total: int) -> Finding:
    """The finding that a list has more pieces than a plan is made for."""
    return _stop(
        "CUTS-001",
        f"{total} pieces are more than the {MOST_PIECES} that a plan is made for.",
        "Check the counts, or cut the list in parts.",
    )


def _rule_faults(rules: CutRules) -> list[Finding]:
    bounds = (
        ("kerf", rules.kerf_mm, LARGEST_KERF_MM, "mm"),
        ("trim", rules.trim_mm, LONGEST_MM / 2.0, "mm"),
        ("time limit", rules.time_limit_s, 86_400.0, "s"),
    )
    return [
        _stop(
            "CUTS-003",
            f"A {name} of {value:g} {unit} is not between 0 and {most:g} {unit}.",
            f"Correct the {name}.",
            name,
        )
        for name, value, most, unit in bounds
        if not 0.0 <= value <= most
    ]


def _offer_faults(offer: StickOffer, rules: CutRules) -> list[Finding]:
    name = f"stick '{offer.label}'" if offer.label else "a stick"
    faults = []
    if not 0.0 < offer.length_mm <= LONGEST_MM:
        faults.append(f"a length of {offer.length_mm:g} mm is not over 0 and up to {LONGEST_MM:g} mm")
    elif rules.kerf_mm >= offer.length_mm:
        faults.append(
            f"its length of {offer.length_mm:g} mm is no more than the kerf of {rules.kerf_mm:g} mm"
        )
    elif offer.source != "offcut" and 2.0 * rules.trim_mm >= offer.length_mm:
        faults.append(f"{rules.trim_mm:g} mm of trim at each end leave nothing of {offer.length_mm:g} mm")
    if offer.count is not None and not 0 <= offer.count <= MOST_PIECES:
        faults.append(f"a count of {offer.count} is not 0 to {MOST_PIECES}")
    if offer.price is not None and not 0.0 <= offer.price <= LARGEST_PRICE:
        faults.append(f"a price of {offer.price:g} is not between 0 and {LARGEST_PRICE:g}")
    return [
        _stop("CUTS-002", f"{name[:1].upper()}{name[1:]}: {fault}.", "Correct the stick.", offer.label)
        for fault in faults
    ]


def usable_mm(offer: StickOffer, rules: CutRules) -> float:
    """Length of a stick between its trims."""
    return offer.length_mm if offer.source == "offcut" else offer.length_mm - 2.0 * rules.trim_mm


def _too_long(task: CutTask) -> list[Finding]:
    longest = max((usable_mm(o, task.rules) for o in task.offers if o.count != 0), default=0.0)
    trims = f" between trims of {task.rules.trim_mm:g} mm" if task.rules.trim_mm else ""
    return [
        Finding(
            code="CUTS-004",
            severity=Severity.STOP,
            sentence=f"{_lead(piece)} '{piece.name}' is {piece.length_mm:.1f} mm; the longest stick has "
            f"{longest:.1f} mm{trims}.",
            todo="Name a longer stick, or make the bar of two pieces where the rule book lets you.",
            objects=(piece.name,),
            measured=piece.length_mm,
            limit=longest,
            unit="mm",
        )
        for piece in task.pieces
        if piece.length_mm > longest + 1e-6
    ]


def _stop(code: str, sentence: str, todo: str, *objects: str) -> Finding:
    named = tuple(name for name in objects if name)
    return Finding(code=code, severity=Severity.STOP, sentence=sentence, todo=todo, objects=named)
