"""The door for phones on the gym's network: one page and one certificate over plain HTTP, and nothing of the gym's data.

A phone that does not trust the gym's own authority yet cannot be told how over HTTPS. What it fetches here is public by nature; the
fingerprint lets a person compare what arrived with what the computer shows.
"""

import threading
from collections.abc import Mapping
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import ClassVar

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string

from floorward.language import ENGLISH, OFFERED
from floorward.web.speech import first_offered, speaking

CERTIFICATE = "/floorward-gym.crt"
STYLES = ("index", "tokens", "base", "parts", "forms", "drawings", "pages", "print")
PATIENCE_S = 10

Pages = Mapping[str, tuple[str, bytes]]


def pages(address: str, certificate: bytes, fingerprint: str) -> Pages:
    """What the door gives out, by path: content type and bytes.

    Args:
        address: where the gym's pages are.
        certificate: the authority's, in DER.
        fingerprint: its SHA-256.
    """
    said = {
        "address": address,
        "certificate": CERTIFICATE,
        "fingerprint": fingerprint,
    }
    return {
        **{f"/{code}": ("text/html; charset=utf-8", _page(code, said)) for code in OFFERED},
        CERTIFICATE: ("application/x-x509-ca-cert", certificate),
        **{f"/css/{name}.css": ("text/css; charset=utf-8", _style(name)) for name in STYLES},
    }


def open_door(port: int, given_out: Pages) -> ThreadingHTTPServer:
    """Start giving `given_out` out on every address of this computer; returns the server, which runs in a thread of its own."""
    handler = type("Door", (_Door,), {"pages": given_out})
    server = ThreadingHTTPServer(("0.0.0.0", port), handler)  # noqa: S104 - the gym's network is what it is for
    server.daemon_threads = True
    threading.Thread(target=server.serve_forever, name="door", daemon=True).start()
    return server


class _Door(BaseHTTPRequestHandler):
    pages: ClassVar[Pages] = {}
    timeout = PATIENCE_S
    server_version = "floorward"
    sys_version = ""

    def do_GET(self) -> None:
        """Answer with what the path names, or say where to begin."""
        path = self.path.partition("?")[0]
        code = first_offered(self.headers.get("Accept-Language", "")) or ENGLISH
        found = self.pages.get(f"/{code}" if path == "/" else path)
        kind, body = found or ("text/plain; charset=utf-8", b"Nothing here. Ask for the first page: /\n")
        self.send_response(200 if found else 404)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.send_header("Content-Security-Policy", "default-src 'none'; style-src 'self'; img-src data:")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header("Cache-Control", "no-store")
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(body)

    do_HEAD = do_GET  # noqa: N815 - the standard library's name

    def log_message(self, *_words: object) -> None:
        """Nothing: who fetched a certificate is nobody's business."""


def _page(code: str, said: Mapping[str, str]) -> bytes:
    with speaking(code):
        return render_to_string("lan/door.html", said).encode()


def _style(name: str) -> bytes:
    return Path(str(finders.find(f"css/{name}.css"))).read_bytes()
