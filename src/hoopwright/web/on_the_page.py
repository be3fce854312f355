"""Where on the page the same is done as by the command that a finding names."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, kw_only=True)
class Place:
    """A place on the page.

    Args:
        tab: The tab; empty for what stands at the top of the page.
        card: Heading of the card in it, or the button; empty for the whole tab.
    """

    tab: str = ""
    card: str = ""

    @property
    def in_a_sentence(self) -> str:
        """As a todo says it in the place of a command."""
        if not self.tab:
            return f'"{self.card}" at the top of the page'
        return f'"{self.card}" in the {self.tab} tab' if self.card else f"the {self.tab} tab"

    @property
    def on_a_button(self) -> str:
        """As the way there is named."""
        return f"{self.tab} tab: {self.card}" if self.card else f"{self.tab} tab"


_ENDS = Place(tab="Bar", card="Ends")
_CHOSEN_BAR = Place(tab="Bar", card="Mirror, free, take out")
_HOLES = Place(tab="Cage", card="Holes that bars pass through")
_LANDINGS = Place(tab="Joints", card="Landings of the feet")
_GUSSETS = Place(tab="Joints", card="Gussets and ties")
_BY_TAPE = Place(tab="Bender", card="The finished bar by tape")
_BOOKS = Place(tab="Rule book", card="Books and editions")
_DELIVERY = Place(tab="Sticks", card="Tube that came")
_BATCHES = Place(tab="Sticks", card="Batches")
_RACK = Place(tab="Sticks", card="On the rack of the shop")
_LOG = Place(tab="Bender", card="The log of the shop")

PLACES: Mapping[str, Place] = MappingProxyType(
    {
        "asbent": _BY_TAPE,
        "asbent --drop": _BY_TAPE,
        "bar": _ENDS,
        "bar add": Place(tab="Cage", card="Add a bar"),
        "bar cut-from": Place(tab="Bar", card="Cut from"),
        "bar free": _CHOSEN_BAR,
        "bar holes": _HOLES,
        "bar leg": Place(tab="Bar", card="Its leg, for a rule book"),
        "bar mirror": _CHOSEN_BAR,
        "bar other-side": _CHOSEN_BAR,
        "bar remove-hole": _HOLES,
        "bar steel": Place(tab="Tubes"),
        "bar tube": Place(tab="Bar", card="Tube and die"),
        "batch add": _DELIVERY,
        "batch change": _BATCHES,
        "bender change": Place(tab="Bender", card="Benders in the shop"),
        "bend": Place(tab="Bender", card="At the bender: sticks and the shop screen"),
        "calibrate": Place(tab="Bender", card="Sample bends: calibrate die and tube"),
        "car": Place(tab="Rule book", card="The car"),
        "car --driver-side": Place(tab="Rule book", card="The car"),
        "check": Place(tab="Check"),
        "fit": Place(tab="Fit"),
        "gusset add": _GUSSETS,
        "gusset list": _GUSSETS,
        "joints": Place(tab="Joints", card="Copes"),
        "landing": _LANDINGS,
        "landing list": _LANDINGS,
        "landing remove": _LANDINGS,
        "landing set": _LANDINGS,
        "layout": Place(tab="Cage", card="Lay a whole cage out"),
        "log bar": _LOG,
        "log correct": _LOG,
        "log show": _LOG,
        "measured": Place(tab="Rule book", card="Measured by hand"),
        "order --example": Place(tab="Bender", card="Order and room of the chosen bar"),
        "quote rates": Place(tab="Cost", card="Type your rates"),
        "rules answer": Place(tab="Rule book", card="The cage held to the book"),
        "rules check": Place(tab="Rule book", card="The cage held to the book"),
        "rules list": _BOOKS,
        "rules pin": _BOOKS,
        "rules show": _BOOKS,
        "scan": Place(tab="Scan", card="Take a scan in"),
        "scan --tape": Place(tab="Scan", card="Tape distances"),
        "sheets": Place(tab="Papers", card="Sheets of the bars"),
        "stick add": _DELIVERY,
        "stick show": _RACK,
        "stick use": _RACK,
        "stock plan": Place(tab="Sticks", card="Plan the cuts"),
        "stock put-back": Place(tab="Sticks"),
        "undo": Place(card="Undo"),
    }
)
"""Where the page does what a command does. A test holds that every command named by a finding is here or below."""

IN_A_TERMINAL = frozenset(
    {
        "demo",
        "new",
        "restore",
        "shop export",
    }
)
"""What the page cannot do, so that a todo keeps naming the command."""

_WORDS = r"hoopwright (?P<name>[a-z][a-z-]*(?: (?:[a-z][a-z-]*|--[a-z-]+))?)"
COMMAND = re.compile(
    rf"(?P<mark>['`]){_WORDS}[^'`]*(?P=mark)".replace("?P<name>", "?P<quoted>")
    + rf"|{_WORDS}(?: (?:[A-Z]+\b|--[a-z-]+|'[^']*'))*"
)
"""A command as a todo names it: in quotes, or bare with what follows it in capitals, options and quotes."""

OPTION = re.compile(r" \(--[^)]*\)")
"""An option of the terminal's own, which a todo names in brackets beside what is to be done."""


def place_of(command: str) -> Place | None:
    """Where the page does what a command does, such as `bar add`; None where only a terminal does."""
    if command in IN_A_TERMINAL:
        return None
    return PLACES.get(command) or (PLACES.get(command.split(" --")[0]) if " --" in command else None)


def on_the_page(text: str) -> tuple[str, tuple[Place, ...]]:
    """A sentence with the places of the page instead of commands, and those places, each once."""
    places: list[Place] = []

    def tell(found: re.Match[str]) -> str:
        place = place_of(found["quoted"] or found["name"])
        if place is None:
            return f"{found[0]} (in a terminal)"
        places.append(place)
        return place.in_a_sentence

    said = OPTION.sub("", COMMAND.sub(tell, text))
    for words in {place.in_a_sentence for place in places}:
        once = re.escape(words)
        said = re.sub(rf"({once})(?:(?:,| and| or) {once})+", r"\1", said)
    if COMMAND.match(text):
        said = said[:1].upper() + said[1:]
    return said, tuple(dict.fromkeys(places))
