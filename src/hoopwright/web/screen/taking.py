"""What a screen at the bender sends, taken in: readings, corrections, decisions, taped distances."""

from dataclasses import replace
from typing import Any

from fastapi import APIRouter, Request, Response

from hoopwright.bender.rescue.records import Reading, Taped
from hoopwright.jobs import bend_screens, bending
from hoopwright.jobs.bend_answers import Bending
from hoopwright.jobs.sticks import BendWishes
from hoopwright.jobs.taping import take_distance
from hoopwright.store import ProjectFolder
from hoopwright.web.door.asking import asker_of
from hoopwright.web.screen.answers import BASE, at, told, whole, with_code
from hoopwright.web.screen.keys import state_keys
from hoopwright.web.screen.sent import (
    Sent,
    SentAgain,
    SentCorrection,
    SentDecision,
    SentDistance,
    SentReading,
    SentTakingBack,
)


def add_taking(app: APIRouter, folder: ProjectFolder) -> None:
    """Let the router take what a screen sends."""

    @app.post(BASE + "api/reading")
    def reading(sent: SentReading, request: Request) -> Response:
        return told(
            lambda: _answer(
                folder,
                bending.take_reading(folder, _named(folder, sent), _read(sent, request), _wishes(sent)),
            )
        )

    @app.post(BASE + "api/correction")
    def correction(sent: SentCorrection, request: Request) -> Response:
        return told(
            lambda: _whole_answer(
                folder,
                sent,
                bending.correct_reading(
                    folder, _named(folder, sent), sent.of, _read(sent, request), _wishes(sent)
                ),
            )
        )

    @app.post(BASE + "api/taking-back")
    def taking_back(sent: SentTakingBack) -> Response:
        return told(
            lambda: _whole_answer(
                folder,
                sent,
                bending.take_back(
                    folder,
                    _named(folder, sent),
                    sent.of,
                    reason="taken back at the bender",
                    key=sent.key,
                    wishes=_wishes(sent),
                ),
            )
        )

    @app.post(BASE + "api/decision")
    def decision(sent: SentDecision) -> Response:
        return told(
            lambda: _whole_answer(
                folder,
                sent,
                bending.decide(
                    folder,
                    _named(folder, sent),
                    go_on=sent.go_on,
                    as_planned=sent.as_planned,
                    key=sent.key,
                    wishes=_wishes(sent),
                ),
            )
        )

    @app.post(BASE + "api/distance")
    def distance(sent: SentDistance) -> Response:
        # a distance hangs on nothing but its own earlier value: what else came meanwhile is no matter
        return told(
            lambda: _answer(
                folder,
                take_distance(
                    folder,
                    _named(folder, sent),
                    _taped(sent),
                    replace(_wishes(sent), shown=None),
                    over=sent.over,
                ),
            )
        )

    @app.post(BASE + "api/again")
    def again(sent: SentAgain) -> Response:
        return told(lambda: whole(folder, sent.bar, sent.code, again=True))


def _answer(folder: ProjectFolder, made: Bending) -> dict[str, Any]:
    stamp = bend_screens.stamp_of(folder, made.standing.started.bar_id)
    return {"state": state_keys(made), "stamp": stamp, "counted_before": made.counted_before}


def _whole_answer(folder: ProjectFolder, sent: Sent, made: Bending) -> dict[str, Any]:
    """With all of the bar, whose numbers may be others now: the network may be gone a moment later."""
    return _answer(folder, made) | {"screen": whole(folder, sent.bar, sent.code)}


def _wishes(sent: Sent) -> BendWishes:
    return BendWishes(at=at(sent.age_s), shown=sent.shown, stick=sent.stick, solve=False)


def _read(sent: SentReading, request: Request) -> Reading:
    return Reading(
        step=0,
        released_deg=sent.released_deg,
        command_deg=sent.command_deg,
        turned_deg=sent.turned_deg,
        mark_mm=sent.mark_mm,
        reason=sent.reason,
        device=asker_of(request.scope).device,
        at=at(sent.age_s),
        key=sent.key,
    )


def _taped(sent: SentDistance) -> Taped:
    return Taped(name=sent.name, measured_mm=sent.measured_mm, at=at(sent.age_s), key=sent.key)


def _named(folder: ProjectFolder, sent: Sent) -> str:
    return with_code(folder, sent.bar, sent.code)
