"""The line between phone and server: it counts what goes over it, is slow where a test says so, and holds back what a test names.

The browser's own network conditions leave out what a service worker asks for; this line does not.
"""

import re
import socket
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from tests.browser.conftest import free_port

REQUEST = re.compile(rb"^(GET|POST|HEAD) (\S+) HTTP/1\.1\r\n")
CHUNK = 4096


@dataclass
class Line:
    """Relays to `server`, a port of this computer.

    Attributes:
        round_trip_s: a new connection and each request take this long on top.
        bytes_per_s: of the answers, all connections together; 0 for as fast as they come.
        held: requests, as "GET /today", that are not passed on while it says so; they go on as soon as it does not.
        asked: every request that was passed on, in order.
        came: bytes of the answers, with their heads.
    """

    server: int
    round_trip_s: float = 0
    bytes_per_s: float = 0
    held: Callable[[str], bool] = lambda _: False
    asked: list[str] = field(default_factory=list)
    came: int = 0
    port: int = field(default_factory=free_port)

    def __post_init__(self) -> None:
        self._pace = threading.Lock()
        self._door = socket.create_server(("127.0.0.1", self.port))
        threading.Thread(target=self._open, daemon=True).start()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def forget(self) -> None:
        self.asked, self.came = [], 0

    def close(self) -> None:
        self._door.close()

    def _open(self) -> None:
        while True:
            try:
                phone, _ = self._door.accept()
            except OSError:
                return
            threading.Thread(target=self._connect, args=(phone,), daemon=True).start()

    def _connect(self, phone: socket.socket) -> None:
        time.sleep(self.round_trip_s)
        try:
            server = socket.create_connection(("127.0.0.1", self.server))
        except OSError:
            phone.close()
            return
        for ends in ((phone, server, self._there), (server, phone, self._back)):
            threading.Thread(target=self._carry, args=ends, daemon=True).start()

    @staticmethod
    def _carry(source: socket.socket, sink: socket.socket, passing: Callable[[bytes], None]) -> None:
        try:
            while chunk := source.recv(CHUNK):
                passing(chunk)
                sink.sendall(chunk)
        except OSError:
            pass
        finally:
            for end in (source, sink):
                end.close()

    def _there(self, chunk: bytes) -> None:
        if found := REQUEST.match(chunk):
            said = " ".join(part.decode() for part in found.groups())
            time.sleep(self.round_trip_s)
            while self.held(said):
                time.sleep(0.05)
            self.asked.append(said)

    def _back(self, chunk: bytes) -> None:
        self.came += len(chunk)
        if self.bytes_per_s:
            with self._pace:
                time.sleep(len(chunk) / self.bytes_per_s)
