"""Fifty phones that log sets and read pages for a minute, against one alone, at `floorward serve` on either database.

`LOAD_SECONDS=60 python -m bench load` says how long. Phones, pages and server share the machine's cores.
"""

import os
import sqlite3
import statistics
import tempfile
import threading
import time
from collections import Counter
from contextlib import closing
from pathlib import Path

import psycopg
from tests.server import running
from tests.storage.phones import Phone
from tests.storage.serving import phones_at, served

PHONES = 50
WARM_UP_SECONDS = 3
SECONDS = float(os.environ.get("LOAD_SECONDS", "60"))
STORED = "SELECT client_id FROM storage_doneset WHERE client_id IS NOT NULL"


def figures() -> list[tuple[str, object, str, str]]:
    on_file = at("SQLite", "")
    with running() as server:
        return [*on_file, *at("PostgreSQL", server.url())]


def at(name: str, url: str) -> list[tuple[str, object, str, str]]:
    """One phone for a quarter of the time, then all of them, on an empty database."""
    with tempfile.TemporaryDirectory(prefix="floorward-load-") as folder:
        data = Path(folder)
        phones = phones_at(data, url, PHONES + 1)
        with served(data, url, phones):
            work(phones, WARM_UP_SECONDS)  # each worker loads what it needs with its first page
            for phone in phones:
                phone.seconds.clear()
            work(phones[:1], SECONDS / 4)
            work(phones[1:], SECONDS)
        stored = rows(data, url)
    told = [name for phone in phones for name in phone.stored]
    many = [second for phone in phones[1:] for second in phone.seconds]
    lost, twice = len(set(told) - set(stored)), len(stored) - len(set(stored))
    failed = Counter(status for phone in phones for status in phone.refused)
    alone = (
        f"one alone: {p95(phones[0].seconds) * 1000:.0f} ms; median {statistics.median(many) * 1000:.0f} ms"
    )
    return [
        (f"{name}: p95 of {PHONES} phones against one", p95(many) / p95(phones[0].seconds), "×", alone),
        (f"{name}: pages and sets a second", len(many) / SECONDS, "", f"{len(told)} sets in {SECONDS:.0f} s"),
        (
            f"{name}: sets lost, stored twice, errors",
            f"{lost}, {twice}, {failed.total()}",
            "",
            f"aim 0, 0, 0 {dict(failed) or ''}".strip(),
        ),
    ]


def work(phones: list[Phone], seconds: float) -> None:
    """Set after set, the page between two, for so long."""
    end = time.monotonic() + seconds

    def go_on(phone: Phone) -> None:
        while time.monotonic() < end:
            phone.logs_until_stored(f"{phone.session}-{len(phone.stored)}")
            status, _ = phone.reads()
            if status != 200:
                phone.refused.append(status)

    threads = [threading.Thread(target=go_on, args=(phone,)) for phone in phones]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def p95(seconds: list[float]) -> float:
    return statistics.quantiles(seconds, n=20)[-1]


def rows(data: Path, url: str) -> list[str]:
    """The client id of every stored set."""
    if url:
        with psycopg.connect(url, options="-c search_path=floorward") as connection:
            return [name for (name,) in connection.execute(STORED).fetchall()]
    with closing(sqlite3.connect(data / "gym" / "floorward.sqlite3")) as connection:
        return [name for (name,) in connection.execute(STORED)]
