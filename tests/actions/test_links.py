"""Personal links: signed, ending, taken back, one lifter, one place."""

from datetime import timedelta

import pytest

from floorward.actions import links
from floorward.errors import Refused
from floorward.storage import place
from tests.conftest import at

pytestmark = pytest.mark.django_db
NOON = at("2026-11-24 12:00")


def refusal_of(token, now=NOON):
    with pytest.raises(Refused) as refusal:
        links.open_link(token, now)
    return refusal.value.code


def test_a_link_opens_for_its_lifter_and_remembers_when(lifter):
    link = links.make_link(lifter, NOON)
    assert links.open_link(links.token_of(link), NOON + timedelta(hours=1)).lifter == lifter
    link.refresh_from_db()
    assert link.opened_at == NOON + timedelta(hours=1)


def test_a_token_changed_by_one_letter_is_unknown(lifter):
    token = links.token_of(links.make_link(lifter, NOON))
    for place_in_token in range(len(token)):
        other = "A" if token[place_in_token] != "A" else "B"
        assert refusal_of(token[:place_in_token] + other + token[place_in_token + 1 :]) == "link-unknown"


def test_the_number_of_another_link_does_not_open_with_this_signature(lifter):
    mine = links.token_of(links.make_link(lifter, NOON))
    theirs = links.make_link(lifter, NOON)
    number, signature = mine.split(".")
    assert refusal_of(f"{number[0]}{theirs.pk}.{signature}") == "link-unknown"


@pytest.mark.parametrize("token", ["", ".", "g1", "g1.", "x1.abc", "g.abc", "g1:abc"])
def test_what_is_not_a_token_is_unknown(token, db):
    assert refusal_of(token) == "link-unknown"


def test_a_link_ends_after_its_time(lifter):
    link = links.make_link(lifter, NOON)
    assert links.open_link(links.token_of(link), link.expires_at - timedelta(seconds=1)).lifter == lifter
    assert refusal_of(links.token_of(link), link.expires_at) == "link-over"


def test_taken_back_links_open_no_more_and_a_new_one_does(lifter):
    old = links.token_of(links.make_link(lifter, NOON))
    links.revoke_links(lifter, NOON)
    new = links.token_of(links.make_link(lifter, NOON))
    assert refusal_of(old) == "link-over"
    assert links.open_link(new, NOON).lifter == lifter


def test_a_link_of_the_demo_is_read_in_the_demo(lifter):
    link = links.make_link(lifter, NOON)
    with place.inside(place.DEMO):
        token = links.token_of(link)
    assert links.place_of(token) == place.DEMO
    assert links.place_of(links.token_of(link)) == place.GYM


def test_no_address_is_made_while_no_phone_can_reach_us(lifter, settings):
    settings.PUBLIC_ADDRESS = ""
    assert links.address_for(lifter, NOON) is None
    assert not lifter.links.exists()


def test_the_address_is_the_same_until_the_link_would_end_before_a_card_does(lifter, settings):
    settings.PUBLIC_ADDRESS = "https://gym.example"
    first = links.address_for(lifter, NOON)
    assert first.startswith("https://gym.example/l/")
    assert links.address_for(lifter, NOON + timedelta(days=30)) == first
    assert links.address_for(lifter, NOON + timedelta(days=100)) != first
