"""A server that goes away under the pages: one clear page, nothing lost, nothing twice, and all well once it is back."""

import signal
import threading

import pytest

from tests.server import until
from tests.storage.serving import phones_at, served
from tests.storage.test_postgresql import ask

SETS = 6
STORED = "SELECT client_id FROM storage_doneset WHERE client_id IS NOT NULL"


@pytest.fixture
def gym(server, tmp_path):
    """Four phones at pages on a database of their own; its address and they."""
    url = server.new_database()
    phones = phones_at(tmp_path, url, 4)
    with served(tmp_path, url, phones):
        yield url, phones


def test_pages_and_sets_outlive_cut_connections_and_a_server_that_stops(gym, server):
    url, phones = gym
    # cut between two pages: nobody notices
    phones[0].logs_until_stored("first")
    assert server.cut() >= 1
    assert phones[0].reads()[0] == 200
    assert phones[0].refused == []
    # cut while sets are logged: each is pressed until it is stored, and is there once
    logging = [threading.Thread(target=log_on, args=(phone, number)) for number, phone in enumerate(phones)]
    for one in logging:
        one.start()
    for count in range(3, len(phones) * SETS, 3):
        until(lambda wanted=count: len(told(phones)) > wanted, 90)
        server.cut()
    for one in logging:
        one.join()
    assert sorted(ask(url, STORED)) == sorted(told(phones))
    assert len(told(phones)) == 1 + len(phones) * SETS
    # the server stops: one sentence, for reading and for storing
    server.stop(signal.SIGINT)
    status, page = phones[0].reads()
    assert (status, "The database server does not answer" in page, "looks again by itself" in page) == (
        503,
        True,
        True,
    )
    status, page = phones[0].logs("last")
    assert (status, "most likely not stored" in page, "what you typed is still" in page) == (503, True, True)
    # and is back: the same workers go on, the same press is stored once
    server.start()
    assert phones[0].reads()[0] == 200
    phones[0].logs_until_stored("last")
    phones[0].logs_until_stored("last")
    assert ask(url, STORED).count("last") == 1


def told(phones) -> list[str]:
    """The sets that were acknowledged."""
    return [name for phone in phones for name in phone.stored]


def log_on(phone, number: int) -> None:
    """Set after set, with a look at the page after each."""
    for count in range(SETS):
        phone.logs_until_stored(f"{number}-{count}")
        phone.reads()
