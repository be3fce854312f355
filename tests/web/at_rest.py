"""When a page stands still, and when it has shown all that the workbench sent before."""

STILL = """() => document.getAnimations().every((one) =>
  one.playState !== 'running' || one.effect?.getComputedTiming().iterations === Infinity)"""
DRAWN = "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))"
ASK = """() => {
  const now = hoopwrightView.stage.camera.matrixWorldInverse.elements;
  window.lookedSo = now.join();
  document.querySelector(`[aria-label="Look from: ${now[10] > 0.99 ? 'left' : 'top'}"]`).click();
}"""
IS_ANSWERED = "hoopwrightView.stage.camera.matrixWorldInverse.elements.join() !== window.lookedSo"


def at_rest(page):
    """Wait until what is on the page stands still; what turns without end, as while one waits, does not count."""
    page.evaluate(DRAWN)
    page.wait_for_function(STILL)
    page.evaluate(DRAWN)


def answered(page):
    """Ask the workbench for something: what it had sent before is on the page when the answer is, whatever that is."""
    page.evaluate(ASK)
    page.wait_for_function(IS_ANSWERED)
    page.evaluate(DRAWN)
