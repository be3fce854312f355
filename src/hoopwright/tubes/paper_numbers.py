"""Numbers of a tube's papers as people type them: which text names a certificate or heat, and which promises one."""

import re
import unicodedata

_LEAST_LETTERS = 2
_STANDARD = r"(?:(?:BS|DIN|EN|ISO|ASTM|SAE|AISI)[ -]*)+[A-Z]?\d[\d-]*(?:[:/]\d{2,4})?"
# kinds of inspection document, EN 10204:2004 and the editions before it
_DOCUMENT_KIND = r"\b[23]\.[123][ABC]?\b"
_DAY = r"\b\d{4}-\d{1,2}-\d{1,2}\b|\b\d{1,2}[./]\d{1,2}[./](?:\d{4}|\d{2})?(?!\d)"
_WHERE = (
    r"\b(?:page|folder|binder|drawer|shelf|box|week|wk|kw|copy)s?\.?\s*\d+\b|"
    r"\b\d+\s*(?:pages?|copies|copy|days?|weeks?)\b"
)
_PICTURE = r"\b(?:img|dsc|dscn|pxl|scan|photo|image)[-_ ]?\d[\d_-]*(?:\.[a-z]{3,4})?(?!\w)"
_BESIDE_THE_NUMBER = re.compile("|".join((_STANDARD, _DOCUMENT_KIND, _DAY, _WHERE, _PICTURE)), re.IGNORECASE)
_PROMISED = re.compile(
    r"\b(?:to follow|follows|following|pending|await(?:ed|ing)|tb[acd]|not yet|not known|unknown|missing|lost|"
    r"requested|ordered|asked for|on its way|will come|will be sent|to come|coming|later|soon)\b",
    re.IGNORECASE,
)
_NO_NUMBER = frozenset((
    *("yes", "y", "ok", "okay", "no", "n", "none", "nil", "null", "na", "nan", "x", "not", "without", "with"),
    *("has", "have", "it", "is", "the", "a", "an", "there", "got", "see", "by", "from", "mill", "supplier"),
    *("office", "mail", "email", "file", "attached", "enclosed"),
    *("certificate", "certificates", "cert", "heat", "number", "nr"),
))  # fmt: skip


def certificate_number(typed: str) -> str:
    """The text, without blanks around it, where it has a number to find the certificate by; empty where it has none.

    A number is a word with a digit other than 0 and at least two letters or digits. What stands beside a number on a
    certificate is none: the standard of tube or document, the kind of document such as 3.1, a day, a page. A text that
    only promises one ("to follow") has none, whatever else is in it. Common practice, no source.
    """
    words = _plain(typed)
    if _PROMISED.search(words):
        return ""
    left = _BESIDE_THE_NUMBER.sub(" ", words)
    return typed.strip() if any(_is_number(word) for word in re.split(r"[\s,;()]+", left)) else ""


def heat_number(typed: str) -> str:
    """The text, without blanks around it, where it can be a heat number; empty where it only promises one.

    Some mills mark heats with letters alone, so that a heat needs no digit. Common practice, no source.
    """
    words = _plain(typed)
    if _PROMISED.search(words):
        return ""
    told = (word for word in re.findall(r"[^\W_]+", words) if word.lower() not in _NO_NUMBER)
    return typed.strip() if len("".join(told)) >= _LEAST_LETTERS else ""


def _plain(typed: str) -> str:
    """Digits of any script as common ones; halves and numbers in rings as blanks, and nothing that does not show."""
    shown = (letter for letter in typed if letter.isprintable() or letter.isspace())
    return "".join(
        str(unicodedata.decimal(letter, " " if unicodedata.numeric(letter, None) is not None else letter))
        for letter in shown
    )


def _is_number(word: str) -> bool:
    told = [letter for letter in word if letter.isalnum()]
    return len(told) >= _LEAST_LETTERS and any(letter.isdecimal() and int(letter) for letter in told)
