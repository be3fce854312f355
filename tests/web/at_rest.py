"""When a page stands still: nothing slides, fades or changes colour any more, and the picture is drawn."""

STILL = """() => document.getAnimations().every((one) =>
  one.playState !== 'running' || one.effect?.getComputedTiming().iterations === Infinity)"""
DRAWN = "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))"


def at_rest(page):
    """Wait until what is on the page stands still; what turns without end, as while one waits, does not count."""
    page.evaluate(DRAWN)
    page.wait_for_function(STILL)
    page.evaluate(DRAWN)
