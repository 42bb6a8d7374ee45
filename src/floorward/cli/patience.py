"""HTTPS connections that may not keep a thread of the server waiting.

Browsers open connections ahead of need and leave them silent. The server reads each in a thread; without a limit, a handful of
silent phones would hold all of them.
"""

import errno
import ssl
from collections.abc import Callable
from typing import Any

PATIENCE_S = 5.0


class PatientSocket(ssl.SSLSocket):
    """Waits for the other side a few seconds, then treats it as gone."""

    def setblocking(self, flag: bool) -> None:  # noqa: FBT001 - the standard library's name and order
        """Wait a little, or not at all; never without end."""
        self.settimeout(PATIENCE_S if flag else 0.0)

    def do_handshake(self, block: bool = False) -> None:  # noqa: FBT001, FBT002 - as above
        """Agree on keys."""
        self.settimeout(PATIENCE_S)
        _or_gone(super().do_handshake, block)

    def recv(self, buflen: int = 1024, flags: int = 0) -> bytes:
        """The next bytes."""
        got: bytes = _or_gone(super().recv, buflen, flags)
        return got


def context(_config: object, made: Callable[[], ssl.SSLContext]) -> ssl.SSLContext:
    """The server's TLS context, its sockets patient."""
    ready = made()
    ready.minimum_version = ssl.TLSVersion.TLSv1_2
    ready.sslsocket_class = PatientSocket
    return ready


def _or_gone(work: Callable[..., Any], *arguments: object) -> Any:
    try:
        return work(*arguments)
    except TimeoutError as error:
        raise ConnectionResetError(errno.ECONNRESET, f"silent for {PATIENCE_S:g} s") from error
