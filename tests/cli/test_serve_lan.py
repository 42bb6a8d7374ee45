"""What `serve --lan` refuses, and in which words."""

import pytest

from floorward.cli.jsonl import BadRequest
from floorward.cli.lan import lan_of
from tests.conftest import at

NOW = at("2026-11-23 18:00")


@pytest.mark.parametrize("host", ["8.8.8.8", "gym.example", "", "2001:db8::7"])
def test_a_public_address_is_refused_with_one_that_would_do(tmp_path, host):
    with pytest.raises(BadRequest, match=r"such as 192\.168\.1\.20"):
        lan_of(tmp_path, 8000, 8001, [host], NOW)


def test_phones_are_sent_to_the_host_that_was_named_first(tmp_path):
    lan = lan_of(tmp_path, 8000, 8001, ["gym.local", "192.168.1.20"], NOW)
    assert (lan.address, lan.door) == ("https://gym.local:8000", "http://gym.local:8001")


def test_an_address_of_the_sixth_version_is_written_in_brackets(tmp_path):
    assert lan_of(tmp_path, 8000, 8001, ["fd00::2"], NOW).door == "http://[fd00::2]:8001"
