"""The same button pressed by many at once, on a real server with several workers: each thing happens once."""

import os
import re
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from http.cookiejar import CookieJar
from urllib.error import HTTPError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, Request, build_opener, urlopen

import pytest

from tests.browser.conftest import free_port

AT_ONCE = 8


@pytest.fixture
def server(data):
    port = free_port()
    command = [sys.executable, "-m", "floorward.cli", "serve", "--port", str(port), "--data", str(data)]
    environment = {**os.environ, "DATA": str(data), "DATABASE_URL": "", "PUBLIC_ADDRESS": ""}
    process = subprocess.Popen(
        command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, start_new_session=True
    )
    address = f"http://127.0.0.1:{port}"
    for _ in range(300):
        try:
            urlopen(f"{address}/alive", timeout=2).close()
            break
        except OSError:
            time.sleep(0.1)
    yield address
    os.killpg(process.pid, signal.SIGTERM)
    process.wait(20)
    process.stdout.close()


class Browser:
    def __init__(self, address):
        self.address, self.jar = address, CookieJar()
        self.opener = build_opener(HTTPCookieProcessor(self.jar))

    def get(self, path):
        with self.opener.open(self.address + path, timeout=60) as answer:
            return answer.read().decode()

    def post(self, path, said):
        token = next(cookie.value for cookie in self.jar if cookie.name == "csrftoken")
        body = urlencode({**said, "csrfmiddlewaretoken": token}).encode()
        try:
            with self.opener.open(Request(self.address + path, data=body), timeout=60) as answer:
                return answer.status, answer.read().decode()
        except HTTPError as refused:
            return refused.code, refused.read().decode()


def test_guesses_at_the_same_moment_are_all_counted_and_buttons_pressed_at_once_break_nothing(server):
    guesser = [Browser(server) for _ in range(AT_ONCE)]
    for one in guesser:
        one.get("/sign-in")
    wrong = {"sign_in_name": "somebody", "password": "wrong lever arms"}
    with ThreadPoolExecutor(AT_ONCE) as pool:
        said = list(pool.map(lambda one: one.post("/sign-in", wrong), guesser))
    assert {status for status, _ in said} == {422}
    assert sum("do not belong together" in page for _, page in said) <= 5
    coach = Browser(server)
    coach.get("/sign-in")
    status, _ = coach.post("/sign-in", {"sign_in_name": "bram", "password": "quiet lever arms"})
    assert status == 200
    number = re.search(r"/lifters/(\d+)", coach.get("/lifters"))[1]
    with ThreadPoolExecutor(AT_ONCE) as pool:
        answers = list(pool.map(lambda _: coach.post(f"/lifters/{number}/session", {}), range(AT_ONCE)))
    assert {status for status, _ in answers} <= {200, 409, 422}
    with ThreadPoolExecutor(AT_ONCE) as pool:
        answers = list(pool.map(lambda _: coach.post(f"/lifters/{number}/withdraw", {}), range(AT_ONCE)))
    assert {status for status, _ in answers} == {200}
