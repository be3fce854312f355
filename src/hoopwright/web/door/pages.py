"""The two pages that are there for those who are not in yet; they need no script."""

from html import escape

POLICY = "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
_STYLE = """
body { margin: 0; background: #f2f1ec; color: #1d2429; font: 20px/1.4 system-ui, "Segoe UI", sans-serif; }
main { max-width: 26rem; margin: 0 auto; padding: 1.2rem; }
h1 { font-size: 1.4rem; }
label { display: block; font-weight: 700; margin: 1rem 0 0.3rem; }
input { width: 100%; box-sizing: border-box; font: inherit; font-size: 1.4rem; padding: 0.7rem;
  border: 2px solid #545e66; border-radius: 8px; background: #fbfaf7; color: inherit; }
input.code { letter-spacing: 0.3em; text-transform: uppercase; font-weight: 700; }
button { width: 100%; margin-top: 1.4rem; font: inherit; font-size: 1.4rem; font-weight: 700; padding: 0.9rem;
  border: 0; border-radius: 8px; background: #2f4858; color: #fff; }
.told { border-left: 6px solid #b8283c; background: #fbfaf7; padding: 0.6rem 0.8rem; white-space: pre-line; }
.soft { color: #545e66; font-size: 1rem; }
:focus-visible { outline: 3px solid #b8283c; outline-offset: 2px; }
@media (prefers-color-scheme: dark) {
  body { background: #15191c; color: #eef1f2; } input, .told { background: #1d2327; border-color: #a9b3ba; }
  button { background: #a9c5d6; color: #15191c; } .soft { color: #a9b3ba; } .told { border-color: #ff8a96; }
}
"""


def _page(title: str, inside: str, head: str = "") -> str:
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"{head}<title>{escape(title)}</title><style>{_STYLE}</style></head>"
        f"<body><main>{inside}</main></body></html>"
    )


def going_on(to: str) -> str:
    """A page that goes on by itself, so that the browser asks for the next one from a page of ours."""
    at = escape(to, quote=True)
    return _page(
        "Hoopwright",
        f'<p>Opening ...</p><p><a href="{at}">Go on</a></p>',
        f'<meta http-equiv="refresh" content="0; url={at}">',
    )


def key_used() -> str:
    """For a key that opened a browser already, or never was one."""
    return _page(
        "Not open",
        "<h1>This address does not open any more</h1><p>It opens one browser, once. Use the newest address in "
        "the window where <b>hoopwright open</b> runs, or start it again.</p>",
    )


def pairing_page(*, told: str = "", name: str = "", code: str = "", then: str = "") -> str:
    """Where a phone types its name and the code.

    Args:
        told: What was wrong the last time.
        name: As typed before.
        code: As it came with the square code.
        then: Where to go on.
    """
    finding = f'<p class="told" role="alert">{escape(told)}</p>' if told else ""
    return _page(
        "Pair this device",
        "<h1>Pair this device</h1>"
        "<p>At the laptop, press <b>Shop network</b>, then <b>Pair a device</b>.</p>"
        f'{finding}<form method="post" action="/pair" autocomplete="off">'
        '<label for="code">Code on the laptop</label>'
        f'<input class="code" id="code" name="code" maxlength="12" required autocapitalize="characters" '
        f'value="{escape(code, quote=True)}">'
        '<label for="name">Name of this device</label>'
        f'<input id="name" name="name" maxlength="40" required placeholder="Bender phone" '
        f'value="{escape(name, quote=True)}">'
        f'<input type="hidden" name="then" value="{escape(then, quote=True)}">'
        "<button>Pair</button></form>"
        '<p class="soft">What goes between this device and the laptop is not encrypted: pair only on a network '
        "that you trust.</p>",
    )
