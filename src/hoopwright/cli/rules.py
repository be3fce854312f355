"""`hoopwright rules`: rule books, and a project held to one edition of one of them."""

from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings
from hoopwright.cli.rules_text import (
    book_keys,
    book_text,
    coverage_keys,
    coverage_text,
    list_keys,
    list_text,
    report_keys,
    report_text,
)

app = typer.Typer(
    no_args_is_help=True,
    help="Rule books as data: look at them, change a copy, and hold a project to one edition.",
)
Project = Annotated[Path, typer.Argument(help="Project folder.")]
Book = Annotated[str, typer.Argument(help="Name of a book as 'rules list' has it, or a book's file.")]
Of = Annotated[Path | None, typer.Option("--project", help="Project whose own books count too.")]
RuleId = Annotated[str, typer.Argument(help="The rule, as 'rules show' lists it.")]


@app.command("list")
def list_them(
    project: Annotated[Path | None, typer.Argument(help="Project whose own books are listed too.")] = None,
    as_json: AsJson = False,
) -> None:
    """The books at hand, editions side by side, and the one that a project is held to."""
    from hoopwright.jobs.rule_books import list_books
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        books = list_books(None if project is None else ProjectFolder(path=project))
        findings = [found for one in books for found in one.findings]
        show(as_json, lambda: list_keys(books), list_text(books), findings)


@app.command("show")
def show_book(book: Book, project: Of = None, as_json: AsJson = False) -> None:
    """A book's rules with clause, limit and how each line is known; of a project the book that it is held to."""
    from hoopwright.jobs.rule_views import shown_book
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        shown = shown_book(book, None if project is None else ProjectFolder(path=project))
        show(as_json, lambda: book_keys(shown), book_text(shown), shown.findings)


@app.command("check")
def check(
    what: Annotated[str, typer.Argument(help="A project folder, or a book's name or file.")],
    book: Annotated[str | None, typer.Option(help="Another book to try the project against.")] = None,
    failed: Annotated[bool, typer.Option("--failed", help="Print only what fails.")] = False,
    as_json: AsJson = False,
) -> None:
    """Hold a project to its book; of a book alone, read it and run its cases."""
    from hoopwright.jobs.rule_cases import check_book_alone
    from hoopwright.jobs.rule_views import held_or_stop, is_project
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        if is_project(what):
            with progress_bar(as_json) as progress:
                report = held_or_stop(ProjectFolder(path=Path(what)), book=book, progress=progress)
            show(as_json, lambda: report_keys(report), report_text(report, failed), report.findings)
            return
        read, cases = check_book_alone(what)
        keys = {"book_id": read.book_id, "edition": read.edition, "rules": len(read.rules), "cases": cases}
        words = f"{read.book_id}, edition {read.edition}: {len(read.rules)} rules read, {cases} cases end as they say"
        show(as_json, lambda: keys, words)


@app.command("coverage")
def coverage(
    what: Annotated[str, typer.Argument(help="A book's name or file, or a project folder.")],
    as_json: AsJson = False,
) -> None:
    """Every clause: checked, not checkable from the model (with the question), off until confirmed, or not done."""
    from hoopwright.jobs.rule_views import covered

    with stopping_on_findings(as_json):
        found = covered(what)
        show(as_json, lambda: coverage_keys(found), coverage_text(found), found.findings)


@app.command("copy")
def copy(
    book: Book,
    new: Annotated[
        str, typer.Argument(help="Name of the copy: a file, or with --project a name in its books.")
    ],
    project: Of = None,
    as_json: AsJson = False,
) -> None:
    """Copy a book to change it; the copy gets its new name as id."""
    from hoopwright.jobs.rule_books import copy_book
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        file = copy_book(book, new, None if project is None else ProjectFolder(path=project))
        words = f"{book} copied to {file.path}: change it, then 'hoopwright rules check {file.path}'"
        show(as_json, lambda: {"file": str(file.path), "book_id": file.path.stem}, words)


@app.command("pin")
def pin(project: Project, book: Book, as_json: AsJson = False) -> None:
    """Hold a project to one edition of one book."""
    from hoopwright.jobs.rule_books import pin_book
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        pinned = pin_book(ProjectFolder(path=project), book)
        words = (
            f"held to {pinned.book_id}, edition {pinned.edition}; rules confirmed: {len(pinned.confirmed)}"
        )
        show(as_json, lambda: dict(vars(pinned)), words)


@app.command("confirm")
def confirm(
    project: Project,
    rule: RuleId,
    take_back: Annotated[bool, typer.Option("--take-back", help="Turn it off again.")] = False,
    as_json: AsJson = False,
) -> None:
    """Turn on a rule that is off since it was only remembered, after comparing it with the book's own text."""
    from hoopwright.jobs.rule_answers import confirm_rule
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        pinned = confirm_rule(ProjectFolder(path=project), rule, take_back=take_back)
        words = f"rule {rule} is {'off again' if take_back else 'on: confirmed against the book'}"
        show(as_json, lambda: dict(vars(pinned)), words)


@app.command("answer")
def answer(
    project: Project,
    rule: RuleId,
    verdict: Annotated[str, typer.Argument(help="pass, fail, na, or 'not checked' to take an answer back.")],
    words: Annotated[str, typer.Argument(help="What was measured or seen, and how.")],
    by: Annotated[str, typer.Option(help="Who says so; the cage's builder without.")] = "",
    as_json: AsJson = False,
) -> None:
    """Answer a rule that the model cannot check; the last answer counts, for this edition alone."""
    from hoopwright.jobs.rule_answers import ANSWERS, answer_rule
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        ended = ANSWERS[typed.one_of(verdict, tuple(ANSWERS), "how it ended")]
        kept = answer_rule(ProjectFolder(path=project), rule, ended, words, by=by, date=typed.today())
        show(
            as_json,
            lambda: dict(vars(kept)),
            f"rule {rule}: {kept.answer}, by hand: {kept.words} ({kept.by}). "
            "It counts where the model does not decide.",
        )
