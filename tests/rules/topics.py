"""What books of rules are about, topic by topic: what one book of a body holds, its others must at least name."""

from collections.abc import Mapping
from types import MappingProxyType

from hoopwright.rules.book import Book

TOPICS: Mapping[str, tuple[frozenset[str], str]] = MappingProxyType({
    topic: (frozenset(kinds), ask)
    for topic, kinds, ask in (
        ("tube sizes", ("tube size", "section", "tube equivalent"), "Which tube does it print for each bar?"),
        ("material", ("material",), "Which steel and which strength does it print, and does the certificate say so?"),
        ("bend radius", ("bend radius",), "Which least radius does it print, and has every bend that or more?"),
        ("ovality of bends", ("ovality",), "How oval may a bend be, and is each less so?"),
        ("bends of a bar", ("bends",), "How many bends of how many degrees may each hoop and leg have?"),
        ("straight bars", ("straight",), "Which bars have no bend?"),
        ("bars in one piece", ("one piece",), "Which bars are one piece?"),
        ("angles of bars", ("angle",), "Which angles do backstays, braces and hoops keep?"),
        ("where bars end", ("distance", "ratio"), "How near to a joint, a foot or the hoop's top do bars end?"),
        ("bars that must be there", ("members", "pattern"), "Which bars must be there, in which of its drawings?"),
        ("how many feet", ("attachments",), "On how many feet may or must the cage stand?"),
        ("plates of feet", ("plate",), "Which area, sides and thickness do plates have?"),
        ("bolts of feet", ("bolts",), "How many bolts of which size and grade hold a foot?"),
        ("gussets", ("gusset", "gussets at joint"), "Where are gussets asked for, and of which size?"),
        ("removable joints", ("removable joints",), "Which removable joints are taken, and where?"),
        ("inspection holes", ("inspection hole",), "Is an inspection hole asked for, of which size and where?"),
        ("padding", ("padding",), "Which bars are padded, how thickly and to which standard?"),
        ("room round the helmet", ("helmet",), "How far does the helmet stay from bars and lines between them?"),
        ("belts", ("belts",), "At which angles do belts lead, and what are they fixed to?"),
        ("extent of the cage", ("extent",), "How far forward and rearward may the cage reach?"),
        ("load tests", ("load test",), "Which loads does the cage bear, and with which movement?"),
    )
})  # fmt: skip


def topics_of(book: Book) -> set[str]:
    """Topics that a book has a rule for."""
    kinds = {rule.kind for rule in book.rules}
    return {topic for topic, (own, _) in TOPICS.items() if own & kinds}


def named_in(book: Book) -> set[str]:
    """Topics that a book says it does not hold."""
    return {topic for topic in TOPICS if any(one.words == topic for one in book.not_done)}
