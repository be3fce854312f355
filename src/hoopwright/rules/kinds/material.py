"""Material: how the tube was made, which steel, and what its certificate says."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Annotated, Self

from pydantic import BeforeValidator, Field, model_validator

from hoopwright.findings import Verdict
from hoopwright.rules.facts import BarFacts, Certificate, Process
from hoopwright.rules.kinds.limits import Limits, Sense
from hoopwright.rules.kinds.outcome import Outcome, held_against, judged, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.kinds.tube_size import same_steel
from hoopwright.rules.show import Show, one_of
from hoopwright.rules.typed_values import Number, Texts, as_list
from hoopwright.tubes.paper_numbers import certificate_number

Processes = Annotated[tuple[Process, ...], BeforeValidator(as_list)]
_CERTIFICATE = "from its certificate"


class MaterialLimits(Limits):
    """Keys of a material rule."""

    process: Processes = ()
    not_process: Processes = ()
    steel: Texts = ()
    not_steel: Texts = ()
    carbon_least_percent: Number | None = Field(None, alias="carbon_least")
    carbon_most_percent: Number | None = Field(None, alias="carbon_most")
    manganese_most_percent: Number | None = Field(None, alias="manganese_most")
    other_most_percent: Number | None = Field(None, alias="other_most")
    yield_least_mpa: Number | None = Field(None, alias="yield_least")
    tensile_least_mpa: Number | None = Field(None, alias="tensile_least")
    certificate: bool = False

    @model_validator(mode="after")
    def _has_a_limit(self) -> Self:
        if not any(getattr(self, name) for name in type(self).model_fields):
            msg = "the limit is missing: type process, steel, yield_least or another"
            raise ValueError(msg)
        return self

    def numbers(self) -> tuple[tuple[str, str, str, float | None, Sense], ...]:
        """Each number of the certificate: words, its field, unit, limit and sense."""
        return (
            ("carbon", "carbon_percent", "%", self.carbon_least_percent, "least"),
            ("carbon", "carbon_percent", "%", self.carbon_most_percent, "most"),
            ("manganese", "manganese_percent", "%", self.manganese_most_percent, "most"),
            ("other elements", "other_percent", "%", self.other_most_percent, "most"),
            ("yield strength", "yield_mpa", "MPa", self.yield_least_mpa, "least"),
            ("tensile strength", "tensile_mpa", "MPa", self.tensile_least_mpa, "least"),
        )


def words(limits: MaterialLimits, show: Show) -> str:
    """The requirement in words."""
    told = [one_of(limits.process)] if limits.process else []
    told += [f"not {one_of(limits.not_process)}"] if limits.not_process else []
    told += [one_of(limits.steel)] if limits.steel else []
    told += [f"not {one_of(limits.not_steel)}"] if limits.not_steel else []
    told += [
        f"{name} {show.limit(limit, unit, sense)}"
        for name, _, unit, limit, sense in limits.numbers()
        if limit is not None
    ]
    told += ["with a certificate"] if limits.certificate else []
    return f"material: {', '.join(told)}"


def check(limits: MaterialLimits, bar: BarFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold the material of one bar against each part of the rule."""
    certificate = bar.certificate or Certificate()
    if limits.process or limits.not_process:
        yield _made(limits, bar, certificate.process)
    if limits.steel or limits.not_steel:
        yield _steel(limits, bar)
    for name, field, unit, limit, sense in limits.numbers():
        if limit is None:
            continue
        value = getattr(certificate, field)
        if value is None:
            yield not_checked(bar.bar_id, f"give the {name} {_CERTIFICATE}", part=name, place_mm=bar.place_mm)
            continue
        held = held_against(
            value,
            limit,
            sense,
            unit=unit,
            about=bar.bar_id,
            part=name,
            how="as its certificate says"
            if certificate_number(certificate.number)
            else "as typed; no number of its certificate is on record",
            todo="Take another tube.",
            place_mm=bar.place_mm,
        )
        yield _as_promised(held, certificate.number)
    if limits.certificate:
        yield _numbered(bar, certificate.number)


def _made(limits: MaterialLimits, bar: BarFacts, process: Process | None) -> Outcome:
    if process is None:
        return not_checked(bar.bar_id, "say how the tube was made", part="made", place_mm=bar.place_mm)
    passes = process not in limits.not_process and (not limits.process or process in limits.process)
    wanted = one_of(limits.process) or f"not {one_of(limits.not_process)}"
    return Outcome(
        about=bar.bar_id,
        part="made",
        verdict=judged(passes),
        measured_words=process.value,
        limit_words=wanted,
        how="as its certificate or the person says",
        todo="" if passes else f"Take tube that is {wanted}.",
        place_mm=bar.place_mm,
    )


def _steel(limits: MaterialLimits, bar: BarFacts) -> Outcome:
    if not bar.steel:
        return not_checked(bar.bar_id, "say which steel it is", part="steel", place_mm=bar.place_mm)
    refused = any(same_steel(bar.steel, name) for name in limits.not_steel)
    passes = not refused and (not limits.steel or any(same_steel(bar.steel, name) for name in limits.steel))
    wanted = one_of(limits.steel) or f"not {one_of(limits.not_steel)}"
    return Outcome(
        about=bar.bar_id,
        part="steel",
        verdict=judged(passes),
        measured_words=bar.steel,
        limit_words=wanted,
        how="by the name that was typed",
        todo="" if passes else f"Take {wanted}, or ask the body whether it takes {bar.steel}.",
        place_mm=bar.place_mm,
    )


def _as_promised(held: Outcome, typed: str) -> Outcome:
    """What meets its limit by a certificate that is only promised is not checked; what does not is a fail already."""
    if held.verdict is not Verdict.PASS or not typed.strip() or certificate_number(typed):
        return held
    return replace(held, verdict=Verdict.NOT_CHECKED, todo=_give_number(typed))


def _numbered(bar: BarFacts, typed: str) -> Outcome:
    number = certificate_number(typed)
    if not number:
        return not_checked(bar.bar_id, _give_number(typed), part="certificate", place_mm=bar.place_mm)
    return Outcome(
        about=bar.bar_id, part="certificate", verdict=Verdict.PASS, measured_words=number, how="its number"
    )


def _give_number(typed: str) -> str:
    none = f"; '{typed.strip()}' has none in it" if typed.strip() else ""
    return f"give the number of its certificate{none}"
