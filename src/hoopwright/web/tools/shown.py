"""Hiding and showing the shell and the bars."""

from collections.abc import Callable

from nicegui import ui

from hoopwright.web.bench import Bench


def build(bench: Bench) -> Callable[[bool], None]:
    """Fill the card."""
    hidden: set[str] = set()
    ui.checkbox("Shell", value=True, on_change=lambda event: bench.view.show_shell(bool(event.value)))
    with ui.row().classes("hw-row"):
        ui.button("All bars", on_click=lambda: only(None)).props("flat dense")
        ui.button("Chosen bar alone", on_click=lambda: only(bench.chosen)).props("flat dense")
    box = ui.element("div").style(
        "display: grid; grid-template-columns: 1fr 1fr; max-height: 40vh; overflow: auto"
    )

    def names() -> list[str]:
        return [member.member_id for member in bench.seen.project.cage.members]

    def put() -> None:
        bench.view.hide(sorted(hidden))

    def only(bar_id: str | None) -> None:
        hidden.clear()
        if bar_id is not None:
            hidden.update(name for name in names() if name != bar_id)
        put()
        show()

    def turn(name: str, shown: bool) -> None:
        hidden.discard(name) if shown else hidden.add(name)
        put()

    def show() -> None:
        box.clear()
        with box:
            for name in names():
                ui.checkbox(
                    name,
                    value=name not in hidden,
                    on_change=lambda event, one=name: turn(one, bool(event.value)),
                ).props("dense")

    drawn: list[list[str]] = [[]]

    def follow() -> None:
        if drawn[0] != names():
            drawn[0] = names()
            show()

    bench.when_changed(follow)
    follow()
    return lambda _: None
