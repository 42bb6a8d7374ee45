"""Signing in: tries that are counted, a second key, sessions that end."""

import re
import time
from datetime import timedelta

import pyotp
import pytest
from django.test import Client
from django.urls import reverse
from django.utils.module_loading import import_string

from floorward import config
from floorward.actions import gyms, knocks, links, second_keys
from floorward.storage.models import Assignment, Knock, RecoveryCode, SecondKey, Staff
from tests.conftest import at

pytestmark = pytest.mark.django_db
RIGHT = {"sign_in_name": "bram", "password": "quiet lever arms"}
WRONG = {"sign_in_name": "bram", "password": "loud lever arms"}
BACKEND = "django.contrib.auth.backends.ModelBackend"
ELSEWHERE = {"REMOTE_ADDR": "192.168.1.77"}


def test_a_password_is_kept_as_an_argon2id_hash_of_much_memory():
    """Argon2id is the variant that RFC 9106 takes; how much memory is our choice."""
    hasher = import_string(config.PASSWORD_HASHERS[0])()
    kept = hasher.encode("quiet lever arms", hasher.salt())
    assert kept.startswith("argon2$argon2id$")
    assert hasher.decode(kept)["memory_cost"] >= 64 * 1024


def sign_in(client, said, **where):
    return client.post(reverse("sign-in"), said, **where)


def words(answer):
    return answer.content.decode()


def browser_of(staff):
    client = Client()
    client.force_login(staff, backend=BACKEND)
    client.get(reverse("own-door"))
    return client


def is_in(client):
    return client.get(reverse("gym")).status_code == 200


def test_after_five_wrong_passwords_the_right_one_waits_and_is_told_how_long(client, coach, clock):
    for _ in range(5):
        assert "do not belong together" in words(sign_in(client, WRONG))
    clock("2026-11-23 18:13")
    answer = sign_in(client, RIGHT)
    assert answer.status_code == 422
    assert "Too many tries. Wait 12 min" in words(answer)
    clock("2026-11-23 18:26")
    assert sign_in(client, RIGHT).status_code == 302


def test_knocking_on_while_told_to_wait_makes_nobody_wait_longer(client, coach, clock):
    for _ in range(40):
        sign_in(client, WRONG)
    assert Knock.objects.count() == 5 * 3
    clock("2026-11-23 18:26")
    assert sign_in(client, RIGHT).status_code == 302


def test_one_address_cannot_try_many_names(client, coach, clock, monkeypatch):
    from floorward.actions import doors

    monkeypatch.setattr(doors, "authenticate", lambda **_: None)  # the hash takes its time on purpose
    for number in range(40):
        sign_in(client, {**WRONG, "sign_in_name": f"somebody{number}"}, **ELSEWHERE)
    assert "Wait 15 min" in words(sign_in(client, {**WRONG, "sign_in_name": "another"}, **ELSEWHERE))


def test_strangers_everywhere_do_not_keep_a_known_device_out(client, coach, clock, monkeypatch):
    assert sign_in(client, RIGHT).status_code == 302
    client.post(reverse("sign-out"))
    for number in range(25):
        Knock.objects.create(key=knocks._key("account", "bram"), at=at("2026-11-23 18:00"))
        Knock.objects.create(key=knocks._key("here", f"bram\0{number}"), at=at("2026-11-23 18:00"))
    assert "Too many tries" in words(sign_in(Client(), RIGHT, **ELSEWHERE))
    assert sign_in(client, RIGHT).status_code == 302


def test_what_a_device_carries_is_not_taken_from_another_name_or_a_forger(client, coach, owner, clock):
    from floorward.web import devices

    sign_in(client, RIGHT)
    request = type("Request", (), {"COOKIES": {"device": client.cookies["device"].value}})()
    assert devices.device_of(request, coach.pk)
    assert devices.device_of(request, owner.pk) == ""
    request.COOKIES["device"] = request.COOKIES["device"].replace(str(coach.pk), str(owner.pk), 1) + "x"
    assert devices.device_of(request, owner.pk) == ""


@pytest.mark.parametrize(
    ("near", "said", "taken"),
    [
        ("127.0.0.1", "6.6.6.6, 203.0.113.9", "203.0.113.9"),
        ("192.168.1.20", "203.0.113.9", "192.168.1.20"),
        ("127.0.0.1", "nonsense", "127.0.0.1"),
    ],
)
def test_only_a_proxy_on_this_computer_says_who_asks(rf, near, said, taken):
    from floorward.web.devices import address_of

    assert address_of(rf.get("/", REMOTE_ADDR=near, HTTP_X_FORWARDED_FOR=said)) == taken


def test_names_and_addresses_do_not_stand_in_the_database(client, coach, clock):
    sign_in(client, WRONG, **ELSEWHERE)
    kept = " ".join(Knock.objects.values_list("key", flat=True))
    assert len(kept) > 100
    assert re.fullmatch(r"[0-9a-f ]+", kept)


@pytest.mark.parametrize("password", ["short", "1234567890123", "password1234", "bram okello"])
def test_a_weak_password_is_refused(signed_in, coach, password):
    form = {"now": RIGHT["password"], "new": password}
    assert signed_in.post(reverse("own-password"), form).status_code == 422
    coach.refresh_from_db()
    assert coach.check_password(RIGHT["password"])


def test_a_new_password_ends_the_other_sessions_and_keeps_this_one(signed_in, coach):
    other = browser_of(coach)
    before = signed_in.session.session_key
    form = {"now": RIGHT["password"], "new": "cold chalk on iron"}
    assert signed_in.post(reverse("own-password"), form).status_code == 302
    assert is_in(signed_in)
    assert signed_in.session.session_key != before
    assert not is_in(other)


def test_a_wrong_old_password_counts(signed_in, coach):
    form = {"now": "not this one", "new": "cold chalk on iron"}
    for _ in range(5):
        assert "not the password you have" in words(signed_in.post(reverse("own-password"), form))
    answer = signed_in.post(reverse("own-password"), {**form, "now": RIGHT["password"]})
    assert "Too many tries" in words(answer)


@pytest.fixture
def phone(signed_in, coach):
    """Bram's second key, put in force through the pages; and the codes on his paper."""
    signed_in.post(reverse("own-key"))
    page = words(signed_in.get(reverse("own-door")))
    secret = re.search(r'fingerprint">([A-Z2-7]{32})<', page)[1]
    assert f"otpauth://totp/Floorward:bram?secret={secret}" in page
    assert '<svg class="qr"' in page or 'class="qr"' in page
    assert "on paper" not in page  # nothing is written down before the key is in force
    totp = pyotp.TOTP(secret)
    shown = signed_in.post(reverse("own-key-confirm"), {"code": totp.at(at("2026-11-23 18:10"))})
    codes = re.findall(r'fingerprint">([0-9a-f-]{19})<', words(shown))
    return totp, codes


def test_with_a_second_key_the_password_alone_opens_nothing(client, coach, phone, clock):
    totp, _ = phone
    mine = Client()
    clock("2026-11-23 18:20")
    assert sign_in(mine, RIGHT).url == reverse("sign-in-code")
    assert not is_in(mine)
    assert "does not open" in words(mine.post(reverse("sign-in-code"), {"code": "000000"}))
    half = mine.session.session_key
    code = totp.at(at("2026-11-23 18:20"))
    assert mine.post(reverse("sign-in-code"), {"code": f"{code[:3]} {code[3:]}"}).status_code == 302
    assert is_in(mine)
    assert mine.session.session_key != half


def test_a_code_opens_once(coach, phone, clock):
    totp, codes = phone
    moment = at("2026-11-23 18:30")
    assert second_keys.opens(coach, totp.at(moment), moment)
    assert not second_keys.opens(coach, totp.at(moment), moment)
    assert len(codes) == 8
    assert second_keys.opens(coach, codes[3].upper().replace("-", " "), moment)
    assert not second_keys.opens(coach, codes[3], moment)


def test_a_code_of_long_ago_or_to_come_does_not_open(coach, phone):
    totp, _ = phone
    moment = at("2026-11-23 18:30")
    for off in (-3, -2, 2, 3):
        assert not second_keys.opens(coach, totp.at(moment + timedelta(seconds=30 * off)), moment)
    assert second_keys.opens(coach, totp.at(moment - timedelta(seconds=30)), moment)


def test_guessing_codes_is_stopped(coach, phone, clock):
    mine = Client()
    sign_in(mine, RIGHT)
    for number in range(5):
        mine.post(reverse("sign-in-code"), {"code": f"00000{number}"})
    assert "Too many tries" in words(mine.post(reverse("sign-in-code"), {"code": "000009"}))


def test_the_code_page_opens_to_nobody_whose_password_was_not_right(client, coach, phone):
    assert Client().get(reverse("sign-in-code")).url == reverse("sign-in")


def test_the_secret_and_the_codes_do_not_stand_in_the_database(coach, phone):
    totp, codes = phone
    assert totp.secret not in SecondKey.objects.get().secret
    assert not RecoveryCode.objects.filter(code_hash__in=codes).exists()


def test_the_second_key_goes_with_the_password_only(signed_in, coach, phone):
    assert signed_in.post(reverse("own-key-remove"), {"now": "wrong"}).status_code == 422
    assert second_keys.key_of(coach)
    assert signed_in.post(reverse("own-key-remove"), {"now": RIGHT["password"]}).status_code == 302
    assert not RecoveryCode.objects.exists()


def test_signing_in_gives_a_new_session(client, coach, clock):
    client.get(reverse("sign-in"))
    session = client.session
    session["planted"] = "here"
    session.save()
    client.cookies["sessionid"] = session.session_key
    sign_in(client, RIGHT)
    assert client.session.session_key != session.session_key


@pytest.mark.parametrize(
    ("seen_ago_s", "begun_ago_s", "stays"),
    [(3 * 3600, 4 * 3600, True), (4 * 3600 + 60, 5 * 3600, False), (60, 7 * 24 * 3600 + 60, False)],
)
def test_a_session_ends_when_idle_and_after_a_week(coach, clock, seen_ago_s, begun_ago_s, stays):
    browser = browser_of(coach)
    session = browser.session
    session["seen"], session["begun"] = int(time.time()) - seen_ago_s, int(time.time()) - begun_ago_s
    session.save()
    assert is_in(browser) is stays


def test_a_page_that_only_asks_whether_the_server_is_there_keeps_nobody_signed_in(coach, clock):
    browser = browser_of(coach)
    session = browser.session
    session["seen"] = before = int(time.time()) - 3000
    session.save()
    browser.get(reverse("alive"))
    assert browser.session["seen"] == before
    browser.get(reverse("gym"))
    assert browser.session["seen"] > before


def test_another_role_ends_the_sessions_and_the_assignments(coach, owner, lifter, clock):
    boss, theirs = browser_of(owner), browser_of(coach)
    form = {"name": "Bram Okello", "role": "assistant"}
    assert boss.post(reverse("person", args=[coach.pk]), form).status_code == 302
    assert not is_in(theirs)
    assert not Assignment.objects.filter(staff=coach).exists()
    assert is_in(boss)


def test_owners_do_not_change_their_own_role(owner, clock):
    answer = browser_of(owner).post(reverse("person", args=[owner.pk]), {"name": "Imke", "role": "coach"})
    assert answer.status_code == 422
    assert Staff.objects.get(pk=owner.pk).role == "owner"


def test_who_left_is_out_at_once_and_their_lifters_links_are_taken_back(coach, owner, lifter, phone, clock):
    theirs, boss = browser_of(coach), browser_of(owner)
    token = links.token_of(links.make_link(lifter, at("2026-11-23 18:00")))
    answer = boss.post(reverse("person-left", args=[coach.pk]), {"take_links_back": "on"})
    assert answer.status_code == 302
    assert not is_in(theirs)
    assert sign_in(Client(), RIGHT).status_code == 422
    assert Client().get(reverse("personal-link", args=[token])).status_code == 410
    assert not SecondKey.objects.exists()
    assert "Bram Okello" in words(boss.get(reverse("people")))


def test_who_left_keeps_no_lifter(coach, owner, lifter, clock):
    browser_of(owner).post(reverse("person-left", args=[coach.pk]))
    lifter.refresh_from_db()
    assert lifter.coach is None
    assert not lifter.assignments.exists()


def test_a_colleague_elsewhere_is_not_there(owner, clock, gym):
    from tests.people import a_gym

    other = gyms.add_staff(
        a_gym("Elsewhere", at("2026-11-01 09:00")),
        name="Ott",
        sign_in_name="ott",
        role="coach",
        password=None,
    )
    assert browser_of(owner).post(reverse("person-left", args=[other.pk])).status_code == 404
