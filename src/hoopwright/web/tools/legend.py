"""What the colours of the bars say, in words beside each."""

from nicegui import ui

from hoopwright.web.bench import Bench


def legend(bench: Bench) -> None:
    """Lay the legend over the picture; as `viewport/src/colours.ts` paints."""
    box = ui.element("div").classes("hw-legend").props('role="note" aria-label="What the colours say"')

    def show() -> None:
        gap_mm = bench.seen.project.cage.limits.gap_mm
        box.clear()
        with box:
            ui.label(f"gap asked: {bench.length(gap_mm)}").style("font-weight: 700")
            for colour, words in (
                ("#db5938", f"nearer than {bench.length(gap_mm)}"),
                ("#1a6b8c", f"held, up to {bench.length(2.5 * gap_mm)}"),
                ("#c7d1ad", f"far off, {bench.length(6.0 * gap_mm)} and more"),
                ("var(--button)", "at a landing, or no metal near"),
            ):
                ui.html(f'<i style="background: {colour}"></i><span>{words}</span>', sanitize=False).classes(
                    "hw-swatch"
                )

    bench.when_changed(show)
    show()
