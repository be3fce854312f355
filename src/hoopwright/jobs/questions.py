"""Questions that only the person can answer, and how a job asks them."""

from collections.abc import Callable
from dataclasses import dataclass

from hoopwright.findings import Finding, Severity, UserError


@dataclass(frozen=True, kw_only=True)
class Question:
    """A question with a proposal.

    Args:
        code: Finding code used when nobody answers.
        about: What it is about: `unit`, `nose`, `up`.
        sentence: The question.
        choices: Answers that may be given.
        proposal: The likeliest answer.
        option: How the answer is given beforehand, such as `--unit in`.
        is_likely: Whether the proposal is likely enough to be taken unseen.
        meanings: What follows from each choice, in the order of the choices; empty where nothing does.
        picture_svg: A drawing that helps to answer; empty where there is none.
    """

    code: str
    about: str
    sentence: str
    choices: tuple[str, ...]
    proposal: str
    option: str
    is_likely: bool = True
    meanings: tuple[str, ...] = ()
    picture_svg: str = ""


Ask = Callable[[Question], str | None]
"""Returns the person's answer, or None when nobody is there to answer."""


def nobody(_question: Question) -> None:
    """Answers nothing."""


def answered(question: Question, given: str | None, ask: Ask) -> str:
    """The answer given beforehand, or asked for.

    Raises:
        UserError: With the question's code when nobody answers.
    """
    answer = given or ask(question)
    if answer is None:
        raise UserError(
            Finding(
                code=question.code,
                severity=Severity.STOP,
                sentence=question.sentence,
                todo=f"Answer with {question.option}.",
                objects=(question.about,),
            )
        )
    return answer
