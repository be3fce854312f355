"""Makes all that a page waits for come late: shows what a test, or the page, does not wait for."""

import os

PATIENCE_MS = 60_000
"""How long a test waits for what a page will show: a test that waits for the right thing never waits so long."""

DELAY_MS = int(os.environ.get("HOOPWRIGHT_LATE_MS", "0"))
"""By how much every message between page and workbench comes late, and what a device keeps is kept."""

SOCKETS = """
window.WebSocket = class extends window.WebSocket {
  send(words) { setTimeout(() => { if (this.readyState === 1) super.send(words); }, LATE_MS); }
  set onmessage(told) { super.onmessage = (event) => setTimeout(() => told(event), LATE_MS); }
};
"""
ANSWERS = """{
  const asked = window.fetch, late = () => new Promise((on) => setTimeout(on, LATE_MS));
  window.fetch = (...what) => late().then(() => asked(...what)).finally(late);
}"""
KEPT = """{
  const done = Object.getOwnPropertyDescriptor(IDBTransaction.prototype, 'oncomplete');
  Object.defineProperty(IDBTransaction.prototype, 'oncomplete', {
    ...done, set(told) { done.set.call(this, (event) => setTimeout(() => told(event), LATE_MS)); },
  });
}"""


def make_late(context, late_ms=DELAY_MS, scripts=(SOCKETS, ANSWERS, KEPT)):
    """Every page of a browser's context, from its first line on."""
    for script in scripts if late_ms else ():
        context.add_init_script(script.replace("LATE_MS", str(late_ms)))
