"""What every kind's keys have in common, and how a value is held against a limit."""

from typing import Literal, Self

from pydantic import model_validator

from hoopwright.rules.typed_values import BookKeys

Sense = Literal["least", "most", ""]
_SLACK = 1e-6
_LEAST_SLACK = 1e-9


class Limits(BookKeys):
    """The keys of one kind of check; each kind has its own."""


class LeastAndMost(Limits):
    """Keys with at least one limit under `least` or `most`."""

    @model_validator(mode="after")
    def _has_a_limit(self) -> Self:
        values = {
            field.alias: getattr(self, name)
            for name, field in type(self).model_fields.items()
            if field.alias in ("least", "most")
        }
        if all(value is None for value in values.values()):
            msg = "the limit is missing: type least or most"
            raise ValueError(msg)
        if None not in values.values() and values["least"] > values["most"]:
            msg = "least is more than most: nothing can pass"
            raise ValueError(msg)
        return self


def meets(measured: float, limit: float, sense: Sense, *, strict: bool = False) -> bool:
    """Whether a value meets a limit. Equal meets it unless the book says strictly.

    Args:
        measured: The value, in any unit.
        limit: The limit, in the same.
        sense: Whether it must be at least or at most the limit.
        strict: Whether equal does not meet it.
    """
    # for the last bits of a float alone: 1.75 in and 44.45 mm are one length
    slack = max(abs(limit) * _SLACK, _LEAST_SLACK)
    over = measured - limit if sense == "least" else limit - measured
    return over > slack if strict else over >= -slack
