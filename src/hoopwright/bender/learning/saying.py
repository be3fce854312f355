"""What is sure enough, and matters enough, to be said."""

from hoopwright.bender.learning.mixture import Mixture, Vector

MATTERS_DEG = 0.3
"""At 90 degrees; less is not worth a word. Common practice, no source."""
SURE_SHARE = 0.95


def beyond_what_matters(off: Mixture) -> Vector:
    """Probability of more than what matters, either way."""
    return off.below(-MATTERS_DEG) + 1.0 - off.below(MATTERS_DEG)


def bends_in_words(count: int) -> str:
    """`1 bend`, `2 bends`."""
    return f"{count} bend{'' if count == 1 else 's'}"


def sure_in_words(share: float) -> str:
    """A probability without ever claiming all of it."""
    return "over 99% sure" if share > 0.99 else f"{share:.0%} sure"
