"""A first text for each kind of rule, and for a whole book: to be put in, and changed to what the book says."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from hoopwright.rules.kinds.registry import KINDS
from hoopwright.rules.refusals import names_of

_OFF = 'provenance = "not verified"  # an example: type what your book says, then take this line out'


@dataclass(frozen=True, kw_only=True)
class Starter:
    """A kind of rule as a person begins it.

    Args:
        kind: As a book types it.
        what: What it holds against the limits, in words.
        lines: Its own lines of the text; the figures are examples of ours and no body's.
        needs: What a person gives to have it checked.
        keys: Every key of the kind.
    """

    kind: str
    what: str
    lines: tuple[str, ...]
    needs: str
    keys: tuple[str, ...]


_TEXTS: Mapping[str, tuple[str, str]] = MappingProxyType({
    "tube size": ("least diameter and wall of a bar", 'applies = "main hoop"\nsizes = ["45 x 2.5"]'),
    "section": ("least section of a bar's tube", 'applies = "main hoop"\narea_least = "3 cm2"'),
    "tube equivalent": (
        "a tube at least as good as another",
        'reference = "45 x 2.5"\nreference_yield = 350\nof = ["stiffness", "strength"]',
    ),
    "same tube": ("a tube like that of another bar", 'applies = "backstay"\nas = ["main hoop"]'),
    "material": ("what the tube is made of", "yield_least = 350"),
    "bend radius": ("least centreline radius, in diameters", "least_times_od = 3"),
    "ovality": ("smallest over largest width in a bend", "least = 0.90"),
    "bends": (
        'most bends of a bar; part = "leg": of its leg alone',
        'applies = "side bar"\npart = "leg"\nmost = 1',
    ),
    "straight": ("a bar without a bend", 'applies = "backstay"'),
    "one piece": ("a bar of one tube", 'applies = "main hoop"'),
    "angle": (
        "lean of a bar from the vertical, or an angle between parts",
        'of = "vertical"\napplies = "backstay"\nleast = 30',
    ),
    "distance": ("a distance between parts", 'of = "below hoop top"\napplies = "hoop diagonal"\nmost = 100'),
    "ratio": ("a ratio of two lengths", 'of = "height in door opening"\napplies = "door bar"\nmost = 0.5'),
    "members": ("how many bars of a role there are", 'applies = "hoop diagonal"\nleast = 1'),
    "pattern": ("which layout a part of the cage has", 'place = "door"\none_of = ["X", "parallel"]'),
    "attachments": ("how many feet stand on the shell", "least = 6"),
    "plate": ("area and thickness of the plate of a foot", 'area_least = "120 cm2"\nthickness_least = 3'),
    "bolts": ("bolts of a foot", 'fixing = "bolted"\nleast = 3\nsize_least = 8\ngrade_least = "8.8"'),
    "gusset": ("legs and sheet of a gusset", "leg_least_times_od = 2\nthickness_least = 1"),
    "gussets at joint": ("gussets at a joint of two roles", 'applies = ["main hoop", "hoop diagonal"]\nleast = 1'),
    "removable joints": ("bolts of joints that can be undone", 'grade_least = "8.8"\nsize_least = 8'),
    "inspection hole": ("holes to measure the wall through", 'applies = "main hoop"\nleast = 1'),
    "helmet": ("helmet under a straight edge over the bars", "least = 50"),
    "padding": ("padding on bars near to the helmet", "within = 50"),
    "belts": ("angle of the shoulder belts below level", "below_most = 20"),
    "door opening": ("circle that goes through the door opening", "circle_least = 500"),
    "extent": ("cage over the suspension mounting points", "beyond_front_most = 0\nbeyond_rear_most = 0"),
    "exit": ("time in which the driver gets out", "seconds_most = 9"),
    "load test": (
        "a load that a test house applies; it is told and not applied here",
        'factor = 7.5\nplus = 75\non = "the main hoop, down"\nweight_basis = "without driver"',
    ),
    "question": ("what only a person can see", 'question = "Are all welds finished all round?"'),
})  # fmt: skip


def starters() -> tuple[Starter, ...]:
    """Every kind of rule, in the order of the guide."""
    return tuple(
        Starter(
            kind=kind.name,
            what=_TEXTS[kind.name][0],
            lines=tuple(_TEXTS[kind.name][1].split("\n")),
            needs=kind.needs,
            keys=names_of(kind.limits),
        )
        for kind in KINDS.values()
    )


def with_rule(text: str, starter: Starter) -> str:
    """A book's text with one more rule at its end, off until what the book says was typed.

    Args:
        text: The book as typed so far.
        starter: What is put in.
    """
    lines = {" ".join(line.split()) for line in text.splitlines()}
    number, name = 2, starter.kind
    while f'id = "{name}"' in lines:
        name, number = f"{starter.kind} {number}", number + 1
    rule = "\n".join((
        "[[rule]]",
        f'id = "{name}"',
        'clause = ""',
        'page = ""',
        'words = ""',
        f'kind = "{starter.kind}"',
        *starter.lines,
        _OFF,
    ))  # fmt: skip
    head = text.rstrip("\n")
    return f"{head}\n\n{rule}\n" if head else f"{rule}\n"


def new_book(name: str) -> str:
    """The text of a book that is begun, with a first rule.

    Args:
        name: Its name, as its file has it.
    """
    head = "\n".join((
        "# Type this from the book on your desk. A line that begins with # is a note.",
        "",
        "[book]",
        f'id = "{name}"',
        'body = "whose book it is"',
        'name = "its title"',
        'edition = "year or number"',
        'unit = "mm"',
        'provenance = "read"',
        "",
    ))  # fmt: skip
    return with_rule(head, starters()[0])
