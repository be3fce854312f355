"""The rules of the pinned book held against the cage: listed, filtered, shown in the picture, confirmed, answered."""

from collections import Counter
from dataclasses import dataclass

from nicegui import ui

from hoopwright.findings import Severity, Verdict
from hoopwright.jobs.rule_books import text_stamp
from hoopwright.jobs.rule_checks import BookReport
from hoopwright.jobs.rule_views import held_or_stop
from hoopwright.rules.rows import RuleRow
from hoopwright.web.bench import Bench
from hoopwright.web.forms import Form, form_part
from hoopwright.web.made import Made, fill_part, make
from hoopwright.web.panels.one_rule import Again, one_rule
from hoopwright.web.picks import EDGES, ORDER, SIGNS, finding_list, mark_old, older, pick_table, show_place

_SHOWN = {"fail": "✗ {} failed", "not checked": "? {} not checked", "pass": "✓ {} pass", "off": "○ {} off"}
_AGAIN = "Hold the cage to the book again."


@dataclass
class _State(Made[BookReport]):
    """What this page last held to the book; each time a person chose a rule the page rolls to it, once."""

    shown: str = "all"
    rule: tuple[str, str, str] | None = None
    asked: int = 0
    brought: int = 0
    stamp: int = 0


def build(bench: Bench) -> None:
    """Fill the part of the tab."""
    state = _State()

    async def hold() -> None:
        # from the button over the table: the table is what is looked at next, and all is measured anew
        state.rule = None
        await held(None)

    async def again() -> None:
        await held(state.report)

    async def held(before: BookReport | None) -> None:
        was, stamp = state.report, _stamp(bench)
        await make(
            bench,
            state,
            "Holding the cage to the book",
            lambda folder, progress: held_or_stop(
                folder, whole=bench.desk.whole_shell(progress), before=before, progress=progress
            ),
        )
        if state.report is not was:
            state.stamp = stamp
            bench.tell()

    ui.button("Hold the cage to the book", on_click=hold).classes("hw-button")
    fill_part(
        bench,
        lambda: (id(state.report), bench.seen.version, state.shown, state.stamp, _stamp(bench)),
        lambda: _report(bench, state),
    )
    form_part(
        bench,
        lambda: (id(state.report), state.rule, state.asked),
        lambda form: _chosen(bench, state, again, form),
        about=lambda: state.rule,
    )
    fill_part(bench, lambda: id(state.report), lambda: _findings(bench, state))


def _stamp(bench: Bench) -> int:
    return text_stamp(bench.desk.folder, bench.seen.project.book)


def _report(bench: Bench, state: _State) -> None:
    report = state.report
    if report is None:
        pinned = bench.seen.project.book is not None
        words = "Not looked at yet." if pinned else "Choose a book first: open 'Books and editions'."
        ui.label(words).classes("hw-soft")
        return
    older(bench, state.version, _AGAIN)
    if state.version == bench.seen.version and state.stamp != _stamp(bench):
        mark_old("the text of the book", _AGAIN)
    ui.label(f"{report.book.book_id}, edition {report.book.edition}").classes("hw-head")
    # what is said of the book itself, such as that its file is another one than was chosen, stands over its verdicts
    of_book = [one for one in report.findings if report.book.book_id in one.objects]
    finding_list(bench, [one for one in of_book if one.severity is not Severity.NOTE])
    ui.label(_totals(report)).props('role="status"')
    choices = {"all": f"all {len(report.rows)}"}
    for name, words in _SHOWN.items():
        count = sum(_is_shown(row, name) for row in report.rows)
        if count:
            choices[name] = words.format(count)

    def choose(shown: str) -> None:
        state.shown = shown
        bench.tell()

    shown = state.shown if state.shown in choices else "all"
    ui.select(choices, value=shown, label="Which rows", on_change=lambda event: choose(event.value)).props(
        "dense outlined"
    )
    rows = _sorted(report, shown)

    def pick(number: int) -> None:
        row = rows[number]
        state.rule = _name(row)
        state.asked += 1
        bar = next(
            (word for word in (row.about, row.about.split(" ")[0]) if word in bench.seen.project.cage), None
        )
        show_place(bench, row.place_mm, f"{row.about or 'cage'}: {row.rule_id}", bar_id=bar)
        bench.tell()

    pick_table(
        ["rule", "asks, found", "ends in"],
        [_cells(row) for row in rows],
        pick,
        classes=[EDGES.get(row.verdict, "") for row in rows],
        widths=(122, 0, 100),
    )


def _totals(report: BookReport) -> str:
    off = sum(row.is_off for row in report.rows)
    counts = Counter(row.verdict for row in report.rows if not row.is_off)
    told = [
        f"{SIGNS[verdict].split(' ')[0]} {counts[verdict]} {verdict.value}"
        for verdict in ORDER
        if counts[verdict]
    ]
    return ", ".join([*told, f"○ {off} off"] if off else told)


def _name(row: RuleRow) -> tuple[str, str, str]:
    return row.rule_id, row.about, row.part


def _is_shown(row: RuleRow, shown: str) -> bool:
    if shown == "off":
        return row.is_off
    if shown == "not checked":
        return row.verdict is Verdict.NOT_CHECKED and not row.is_off
    return shown == "all" or row.verdict.value == shown


def _sorted(report: BookReport, shown: str) -> list[RuleRow]:
    rows = [row for row in report.rows if _is_shown(row, shown)]
    return sorted(rows, key=lambda row: (ORDER.index(row.verdict), row.is_off))


def _cells(row: RuleRow) -> list[str]:
    part = f", {row.part}" if row.part else ""
    found = row.measured_words or ("by hand" if row.is_by_hand else "")
    asks = row.limit_words or row.requirement or row.words
    ends = "○ off" if row.is_off else SIGNS[row.verdict]
    return [
        "\n".join(filter(None, (f"{row.rule_id}{part}", row.about or "cage", _at(row)))),
        "\n".join(filter(None, (asks, f"= {found}" if found else ""))),
        "\n".join(filter(None, (ends, "△ look" if row.is_advisory else ""))),
    ]


def _at(row: RuleRow) -> str:
    at = (f"clause {row.clause}" if row.clause else "", f"page {row.page}" if row.page else "")
    return ", ".join(filter(None, at))


def _chosen(bench: Bench, state: _State, again: Again, form: Form) -> None:
    report = state.report
    if report is None or state.rule is None:
        return
    # a rule that was off has one row for the whole cage, and one for each bar when it is on
    mine = [one for one in report.rows if one.rule_id == state.rule[0]]
    row = next((one for one in mine if _name(one) == state.rule), next(iter(mine), None))
    if row is not None:
        one_rule(bench, report, row, again, form, bring=state.asked > state.brought)
        state.brought = state.asked


def _findings(bench: Bench, state: _State) -> None:
    if state.report is not None:
        with ui.expansion(f"{len(state.report.findings)} findings"):
            finding_list(bench, state.report.findings, none="Nothing else was found.")
