"""Phones on the gym's network: one that trusts the gym's certificate keeps its pages, one that does not goes on while a page is open."""

import os
import signal
import subprocess
import sys
import time
from urllib.request import urlopen

import pytest
from playwright.sync_api import expect

from tests.browser import evening
from tests.browser.conftest import ARGUMENTS, free_port

HOST = "gym.local"
RESOLVED = f"--host-resolver-rules=MAP {HOST} 127.0.0.1"


class Lan:
    """A server on the gym's network, on a data folder with a staged session."""

    def __init__(self, folder, session):
        self.folder, self.session, self.port = folder, session, _two_free_ports()
        self.address, self.door = f"https://{HOST}:{self.port}", f"http://127.0.0.1:{self.port + 1}"
        self.process = None

    def start(self):
        command = [sys.executable, "-m", "floorward.cli", "serve", "--lan", "--lan-host", HOST]
        with (self.folder / "console").open("a") as console:
            self.process = subprocess.Popen(
                [*command, "--port", str(self.port), "--data", str(self.folder)],
                stdout=console,
                stderr=subprocess.STDOUT,
                start_new_session=True,
            )
        for _ in range(150):
            try:
                urlopen(self.door, timeout=2).close()
            except OSError:
                time.sleep(0.1)
            else:
                return
        pytest.fail(self.console())

    def console(self):
        return (self.folder / "console").read_text()

    def kill(self):
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(10)


def _two_free_ports():
    while True:
        port = free_port()
        if port < 65_000 and port != free_port() - 1:
            return port


@pytest.fixture
def lan(tmp_path):
    command = [sys.executable, "-m", "tests.browser.stage", str(tmp_path)]
    session = int(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
    place = Lan(tmp_path, session)
    place.start()
    yield place
    place.kill()


def trusting_home(folder, certificate):
    """A home whose certificate store trusts the authority, as a phone does after the steps of the door."""
    store = folder / "home" / ".pki" / "nssdb"
    store.mkdir(parents=True)
    base = ["certutil", "-d", f"sql:{store}"]
    subprocess.run([*base, "-N", "--empty-password"], check=True)
    subprocess.run([*base, "-A", "-t", "C,,", "-n", "gym", "-i", str(certificate)], check=True)
    return folder / "home"


def session_page(lan, browser, **context):
    page = browser.new_context(
        base_url=lan.address, viewport={"width": 390, "height": 844}, **context
    ).new_page()
    evening.sign_in(page)
    page.goto(f"/sessions/{lan.session}")
    return page


def log_without_pain(page):
    page.wait_for_timeout(1200)
    page.locator("form.tell:visible").get_by_role("button", name="0", exact=True).click()


def test_a_phone_that_trusts_the_certificate_keeps_the_page_and_what_is_logged_on_it(
    lan, playwright, tmp_path
):
    certificate = tmp_path / "fetched.crt"
    certificate.write_bytes(urlopen(f"{lan.door}/floorward-gym.crt").read())
    environment = {**os.environ, "HOME": str(trusting_home(tmp_path, certificate))}
    browser = playwright.chromium.launch(
        executable_path="/usr/bin/chromium", args=[*ARGUMENTS.split(), RESOLVED], env=environment
    )
    page = session_page(lan, browser)
    page.evaluate("navigator.serviceWorker.ready")
    page.reload()
    lan.kill()
    log_without_pain(page)
    expect(page.locator("#kept")).to_contain_text("1 set kept on this phone", use_inner_text=True)
    context = page.context
    page.close()
    page = context.new_page()
    page.goto(f"/sessions/{lan.session}")
    expect(page.locator("#kept")).to_contain_text("1 set kept on this phone", use_inner_text=True)
    lan.start()
    expect(page.locator(".so-far summary")).to_contain_text("1 set so far", timeout=20_000)
    browser.close()


def test_a_phone_that_does_not_trust_it_goes_on_while_the_page_is_open(lan, playwright):
    browser = playwright.chromium.launch(
        executable_path="/usr/bin/chromium", args=[*ARGUMENTS.split(), RESOLVED]
    )
    page = session_page(lan, browser, ignore_https_errors=True)
    lan.kill()
    log_without_pain(page)
    expect(page.locator("#kept")).to_contain_text("1 set kept on this phone", use_inner_text=True)
    lan.start()
    expect(page.locator(".so-far summary")).to_contain_text("1 set so far", timeout=20_000)
    browser.close()


def test_the_door_tells_how_and_the_console_says_the_same_fingerprint(lan, browser):
    page = browser.new_page(viewport={"width": 390, "height": 844})
    page.goto(lan.door)
    fingerprint = page.locator(".fingerprint").inner_text()
    assert len(fingerprint) == 95
    assert fingerprint in lan.console()
    assert page.get_by_role("link", name=lan.address).get_attribute("href") == lan.address
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.close()


def test_the_demo_without_password_is_closed_on_the_network(lan, browser):
    page = browser.new_context(base_url=f"https://127.0.0.1:{lan.port}", ignore_https_errors=True).new_page()
    page.goto("/")
    expect(page.get_by_role("link", name="Sign in")).to_be_visible()
    expect(page.get_by_role("button", name="Look round the demo gym")).to_have_count(0)
    page.context.add_cookies([{"name": "place", "value": "demo", "url": page.url}])
    page.goto("/today")
    expect(page).to_have_url(f"https://127.0.0.1:{lan.port}/sign-in?next=/today")
    page.context.close()
