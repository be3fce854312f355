"""One rule held against one thing: how it was measured, and what a person says of it."""

from collections.abc import Awaitable, Callable

from nicegui import ui

from hoopwright.jobs.paper_previews import today
from hoopwright.jobs.rule_answers import ANSWERS, answer_rule, confirm_rule
from hoopwright.jobs.rule_checks import BookReport
from hoopwright.rules.book import Rule
from hoopwright.rules.rows import RuleRow
from hoopwright.web.bench import Bench
from hoopwright.web.entries import text_entry
from hoopwright.web.findings_words import job_words
from hoopwright.web.forms import Form
from hoopwright.web.panels.bar_leg import leg_section
from hoopwright.web.parts import bring_into_view
from hoopwright.web.picks import SIGNS

_ANSWERS = {"pass": "✓ it holds", "fail": "✗ it does not hold", "not applicable": "– not for this car"}
Again = Callable[[], Awaitable[None]]


def one_rule(
    bench: Bench, report: BookReport, row: RuleRow, again: Again, form: Form, *, bring: bool
) -> None:
    """Show it, with the ways on.

    Args:
        bench: The page.
        report: What the cage was held to.
        row: The rule held against one thing.
        again: Called after something was said of it.
        form: What it stands in.
        bring: Whether the page rolls to it: only when a person chose it, and not when it is drawn again.
    """
    rule = next(one for one in report.book.rules if one.rule_id == row.rule_id)
    at = [f"clause {row.clause}" if row.clause else "", f"page {row.page}" if row.page else ""]
    head = ui.label(f"Rule {row.rule_id}, {row.about or 'cage'}").classes("hw-head")
    if bring:
        bring_into_view(head, "start")
    ui.label("○ off until confirmed" if row.is_off else SIGNS[row.verdict])
    for name, words in (
        ("", ", ".join(filter(None, (*at, f"edition {row.edition}")))),
        ("It asks", row.words),
        ("Limit", row.limit_words or row.requirement),
        ("Found", row.measured_words),
        ("Measured otherwise", row.other_words),
        ("How", job_words(row.how, bench.units)),
        ("Where the book does not say", row.assumption),
        ("Note", row.note),
        ("To do", job_words(row.todo, bench.units)),
        ("The line is known as", f"{row.provenance.value}{f', {rule.source}' if rule.source else ''}"),
    ):
        if words:
            ui.label(f"{name}: {words}" if name else words)
    if getattr(rule.limits, "part", "") == "leg" and row.about in bench.seen.project.cage:
        ui.label(f"Where the leg of {row.about} ends").classes("hw-head")
        leg_section(bench, form, bench.seen.project.cage.member(row.about), again)
    if row.is_off or rule.rule_id in report.confirmed:
        _confirming(bench, rule, again, is_on=not row.is_off)
    if not row.is_off:
        _answering(bench, rule, again, form)


def _confirming(bench: Bench, rule: Rule, again: Again, *, is_on: bool) -> None:
    if is_on:
        ui.label("You confirmed this line against the book.").classes("hw-soft")
    else:
        ui.label(
            "Nobody read this line in the book itself: it was only remembered, so it is off. To confirm means: I have "
            "compared this limit with the edition that counts for my car, and it says the same."
        ).classes("hw-finding")

    async def confirm() -> None:
        done = await bench.edit(lambda folder: confirm_rule(folder, rule.rule_id, take_back=is_on))
        if done is not None:
            await again()

    words = "Turn it off again" if is_on else "I have compared it: turn it on"
    ui.button(words, on_click=confirm).classes("hw-button" if not is_on else "").props(
        "" if not is_on else "flat dense"
    )


def _answering(bench: Bench, rule: Rule, again: Again, form: Form) -> None:
    pin = bench.seen.project.book
    mine = [
        one
        for one in bench.seen.project.answers
        if one.rule_id == rule.rule_id and pin and (one.book_id, one.edition) == (pin.book_id, pin.edition)
    ]
    ui.label("Answered by hand").classes("hw-head")
    if rule.question:
        ui.label(rule.question)
    for one in mine:
        ui.label(f"{one.date} {one.by}: {one.answer}. {one.words}")
    choice = ui.select({"": "choose", **_ANSWERS}, value="", label="What you found").props("dense outlined")
    words = text_entry("What was measured or seen, and how", hint="such as: tape, 182 mm at both legs")
    by = text_entry("Who says so", hint="left empty: the builder of the car")

    async def keep(answer: str) -> None:
        if not answer:
            ui.notify("Choose what you found first.")
            return
        ended, sent = ANSWERS[answer], form.typed()
        done = await bench.edit(
            lambda folder: answer_rule(folder, rule.rule_id, ended, words.text, by=by.text, date=today())
        )
        if done is not None:
            await again()
            form.take(sent)

    with ui.row().classes("w-full items-center gap-2"):
        ui.button("Keep this answer", on_click=lambda: keep(str(choice.value))).classes("hw-button")
        if mine and mine[-1].answer != "not checked":
            ui.button("Take the answer back", on_click=lambda: keep("not checked")).props("flat dense")
    ui.label(
        "Answers are added, never changed; the last one counts, for this edition alone. Where the model measures, "
        "it decides."
    ).classes("hw-soft")
