"""What goes with every answer, so that a page keeps to itself."""

import base64
import hashlib
import re

HEADERS = (
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    # with no referrer at all, a browser would not say where a form comes from either
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=(), usb=(), payment=()"),
    # what is nobody else's is kept by nobody else; what may be kept says so itself
    (b"cache-control", b"no-store"),
)
LOOPBACK_HEADERS = ((b"cross-origin-opener-policy", b"same-origin"),)
"""Browsers hear this from encrypted or own addresses only, and complain elsewhere."""
NO_PAGE = b"default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
_PAGE = (
    "default-src 'self'; script-src 'self' 'unsafe-eval' {scripts}; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data: blob:; connect-src 'self'; worker-src 'self' blob:; frame-src 'self' blob:; "
    "frame-ancestors 'none'; base-uri 'self'; form-action 'self'; object-src 'none'"
)
_INLINE = re.compile(rb"<script(?![^>]*\ssrc\s*=)[^>]*>(.*?)</script\s*>", re.DOTALL | re.IGNORECASE)


def page_policy(html: bytes) -> bytes:
    """The policy of a page: scripts from here, and those that stand in it as it was sent, by their hashes.

    What finds its way into the page later, such as a handler in a name that somebody typed, does not run.
    """
    hashes = [_hash(found.group(1)) for found in _INLINE.finditer(html)]
    return _PAGE.format(scripts=" ".join(dict.fromkeys(hashes))).encode()


def _hash(script: bytes) -> str:
    # the browser hashes what it read, and it reads a line's end as one sign
    read = script.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    return f"'sha256-{base64.b64encode(hashlib.sha256(read).digest()).decode()}'"
