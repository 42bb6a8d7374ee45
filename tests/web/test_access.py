"""Who may open which address: every route, asked as every kind of visitor, against a table of what each should find.

A route that stands in no row of the table fails: whoever adds a page says here for whom it is.
"""

import re
from itertools import product

import pytest
from django.db import transaction
from django.test import Client
from django.urls import get_resolver, reverse

from floorward.actions import gyms, links
from floorward.actions.calendars import coach_token
from floorward.actions.lifters import withdraw_consent
from floorward.actions.mornings import Answer, record_morning
from floorward.storage import belonging
from floorward.storage.models import (
    BestSet,
    DoneSet,
    Episode,
    Import,
    Line,
    MeasuredStart,
    MorningCheck,
    Session,
)
from tests.conftest import at
from tests.people import INES, a_gym, a_lifter
from tests.training import trained
from tests.web.evening import accepted

pytestmark = pytest.mark.django_db

IN, SIGN_IN, NO, GONE = "opens", "leads to the sign-in page", "is refused (403)", "is not there (404)"
UNASKED = "takes no such request"  # 405: nothing is shown and nothing changed
VISITORS = ("nobody", "another gym's owner", "assistant", "coach", "assigned coach", "owner")

# what each visitor finds, by the kind of page, in the order of VISITORS; the owner is assigned to nobody
EXPECTED = {
    "open": (IN, IN, IN, IN, IN, IN),
    "link": (IN, IN, IN, IN, IN, IN),
    "own gym": (SIGN_IN, IN, IN, IN, IN, IN),
    "gym's iron, changed": (SIGN_IN, IN, NO, IN, IN, IN),
    "a piece of iron": (SIGN_IN, GONE, NO, IN, IN, IN),
    "to run the floor": (SIGN_IN, GONE, IN, IN, IN, IN),
    "to plan": (SIGN_IN, GONE, NO, IN, IN, IN),
    "health": (SIGN_IN, GONE, NO, NO, IN, NO),
    "owner": (SIGN_IN, IN, NO, NO, NO, IN),
    "owner, one row": (SIGN_IN, GONE, NO, NO, NO, IN),
}

# the kind of every page
PAGES = {
    "open": "start start-demo start-own leave-demo sign-in sign-in-code help help-table help-page service-worker away alive",
    "link": "personal-link own-card own-calendar coach-calendar own-data own-archive own-withdraw own-asking own-erase own-language",
    "own gym": """
        sign-out lifters today gym protocol people phones
        own-door own-speech own-password own-key own-key-confirm own-key-remove""",
    "gym's iron, changed": "imports import-template add-piece new-lifter",
    "a piece of iron": "import-table import-undo import-drop change-piece remove-piece",
    "to run the floor": """
        lifter session-today session plan changed do-line before after end undo undo-set card card-pdf""",
    "to plan": "change-lifter best-set remove-best-set add-usual add-line change-line body measure-start forget-start",
    "health": """
        progress consent withdraw-consent link new-link revoke-links morning
        new-episode change-episode close-episode reopen-episode screen-unkept screen outcome clearance note
        find search warm-up lower-start undo-test end-search search-result
        variations one-set move-set compare way-back start-position start-track map decide review
        lifter-archive own-trail build build-pin build-ban build-undo build-edit week take-day""",
    "owner": "new-person trail",
    "owner, one row": "switch-person coaches erase-lifter person person-left",
}
SENT_BY_OWNERS = {"protocol"}  # everybody may read it; what is sent there comes from an owner
KIND = {name: kind for kind, names in PAGES.items() for name in names.split()}


@pytest.fixture
def numbers(signed_in, lifter, coach, clock):
    """What stands in the addresses: a lifter's whole story, a piece of the gym's iron, a colleague."""
    episode = accepted(signed_in, lifter)
    search = episode.sessions.get().searches.get()
    signed_in.post(reverse("session-today", args=[lifter.pk]))
    line = Line.objects.filter(session__lifter=lifter).first()
    session = line.session
    done = DoneSet.objects.create(
        session=session,
        line=line,
        lift=line.lift,
        kind="work",
        load=line.load,
        unit=line.unit,
        reps=3,
        bar=line.bar,
        pain=2,
        acceptable=True,
        at=at("2026-11-23 19:00"),
    )
    earlier = trained(episode, "2026-11-22", "95")
    record_morning(episode, Answer(day=at("2026-11-23 07:00").date(), score=1), now=at("2026-11-23 07:00"))
    best = BestSet.objects.create(
        lifter=lifter, lift="deadlift", load=200, unit="kg", reps=1, day=earlier.day
    )
    start = MeasuredStart.objects.create(lifter=lifter, lift="deadlift", height_mm=225, day=earlier.day)
    waiting = Import.objects.create(
        gym=lifter.gym, kind="sets", name="log.csv", kept="YSxiCjEsMgo=", at=at("2026-12-01 11:00")
    )
    clock("2026-12-01 12:00")
    return {
        "start_id": start.pk,
        "lifter_id": lifter.pk,
        "best_id": best.pk,
        "token": links.token_of(links.make_link(lifter, at("2026-12-01 11:00"))),
        "coach_token": coach_token(coach),
        "episode_id": episode.pk,
        "screening_id": episode.screenings.get().pk,
        "search_id": search.pk,
        "session_id": session.pk,
        "line_id": line.pk,
        "set_id": done.pk,
        "what": "leave",
        "lift": "deadlift",
        "code": "first",
        "kind": "bars",
        "row_id": lifter.gym.bars.first().pk,
        "import_id": waiting.pk,
        "staff_id": coach.pk,
        "test_id": search.tests.first().pk,
        "decided_id": earlier.pk,
    }


@pytest.fixture
def visitors(gym, coach, owner):
    """Everybody who may knock."""
    elsewhere = a_gym("Elsewhere", at("2026-11-01 09:00"))
    stranger = gyms.add_staff(elsewhere, name="Ott", sign_in_name="ott", role="owner", password=None)
    other = gyms.add_staff(gym, name="Ilse Marlow", sign_in_name="ilse", role="coach", password=None)
    helper = gyms.add_staff(gym, name="Pia Sund", sign_in_name="pia", role="assistant", password=None)
    return dict(zip(VISITORS, (None, stranger, helper, other, coach, owner), strict=True))


def routes():
    """Every named address with the names of its parts."""
    return {pattern.name: pattern.pattern.converters for pattern in get_resolver().url_patterns}


def address_of(name, parts, numbers):
    """The address of a route, about the story's own rows."""
    also = {
        "undo-test": {"set_id": numbers["test_id"]},
        "decide": {"session_id": numbers["decided_id"]},
        "coach-calendar": {"token": numbers["coach_token"]},
        "help-table": {"name": "links"},
        "help-page": {"name": "how-to/session"},
    }
    known = {**numbers, **also.get(name, {})}
    return reverse(name, kwargs={part: known[part] for part in parts})


def found(client, method, address):
    """What a visitor finds there."""
    with transaction.atomic():
        answer = getattr(client, method)(address)
        transaction.set_rollback(True)
    if answer.status_code == 302 and answer.url.startswith(f"{reverse('sign-in')}?next="):
        return SIGN_IN
    return {403: NO, 404: GONE, 405: UNASKED}.get(
        answer.status_code, IN if answer.status_code < 500 else "breaks"
    )


def test_every_route_has_one_row_in_the_table():
    assert sorted(name for names in PAGES.values() for name in names.split()) == sorted(routes())


def test_every_route_answers_each_visitor_as_the_table_says(visitors, numbers):
    wrong = {}
    for visitor, method, (name, parts) in product(VISITORS, ("get", "post"), routes().items()):
        if name == "start-demo":  # works on the demo, which other tests open
            continue
        client = Client()
        if visitors[visitor] is not None:
            client.force_login(visitors[visitor], backend="django.contrib.auth.backends.ModelBackend")
        seen, told = (
            found(client, method, address_of(name, parts, numbers)),
            EXPECTED[KIND[name]][VISITORS.index(visitor)],
        )
        if (
            name in SENT_BY_OWNERS
            and method == "post"
            and visitor in {"assistant", "coach", "assigned coach"}
        ):
            told = NO
        if seen not in {told, UNASKED}:
            wrong[visitor, method, name] = f"{seen}; the table says it {told}"
    assert not wrong, "\n".join(f"{' '.join(where)}: {what}" for where, what in wrong.items())


def test_the_link_of_another_lifter_opens_her_own_pages_and_nothing_of_his(lifter, numbers, gym, coach):
    ines = a_lifter(gym, coach, at("2026-11-01 09:00"), name="Ines Halloran", **INES)
    token = links.token_of(links.make_link(ines, at("2026-12-01 11:00")))
    hers, his = Client(), belonging.rows_of(lifter, "default")
    assert hers.get(reverse("personal-link", args=[token])).status_code == 200
    wrong = []
    for method, (name, parts) in product(("get", "post"), routes().items()):
        if name in {"start-demo", "coach-calendar"}:  # the demo's; a coach's own
            continue
        own = KIND[name] == "link"
        address = address_of(name, parts, {**numbers, "token": token} if own else numbers)
        seen = found(hers, method, address)
        if seen not in {IN if own or KIND[name] == "open" else SIGN_IN, UNASKED}:
            wrong.append((method, name, seen))
        if own:
            answer = getattr(hers, method)(address)
            if b"Abel" in answer.content or belonging.rows_of(lifter, "default") != his:
                wrong.append((method, name, "touches him"))
    assert not wrong


# a list of regions to choose from, or the low back unless told otherwise: no answer of anybody's
ASKS_WHERE = {"new-episode", "screen-unkept", "find", "compare", "start-position", "start-track"}


def test_a_withdrawn_consent_closes_what_was_kept(signed_in, lifter, numbers):
    withdraw_consent(lifter, now=at("2026-12-01 11:30"))
    told = {}
    for name, parts in routes().items():
        if KIND[name] in {"health", "to run the floor", "own gym", "link"} and name not in ASKS_WHERE:
            page = signed_in.get(address_of(name, parts, numbers)).content.decode(errors="replace").lower()
            told[name] = [words for words in HEALTH_WORDS if words in page]
    assert not {name: words for name, words in told.items() if words}


HEALTH_WORDS = ("low back", "pain 2", "acceptable, ", "someone else loads")


def test_while_a_consent_is_in_force_those_words_are_there(signed_in, lifter, numbers):
    pages = "".join(
        signed_in.get(address_of(name, parts, numbers)).content.decode(errors="replace").lower()
        for name, parts in routes().items()
        if KIND[name] in {"health", "to run the floor", "link"} and name not in ASKS_WHERE
    )
    assert [words for words in HEALTH_WORDS if words not in pages] == []


def other_answers():
    """Whatever was answered, answered otherwise; what stops a lifter stays."""
    DoneSet.objects.exclude(pain=None).update(pain=7, acceptable=False, spreading=True)
    Session.objects.exclude(before=None).update(before=6)
    Session.objects.exclude(after=None).update(after=8)
    MorningCheck.objects.exclude(score=None).update(score=9)
    Episode.objects.update(
        region="knee", pain=9, eases="a warm bath", worsens="stairs", limb_symptoms=True, after_injury=True
    )


THEIR_OWN = {"own-archive"}  # of the lifter, who may have all of it at any time


def told(client, method, address):
    """All that a page tells, wherever it leads; nothing of it stays."""
    with transaction.atomic():
        answer = getattr(client, method)(address, follow=True)
        transaction.set_rollback(True)
    body = answer.content if not answer.streaming else b"".join(answer)
    return answer.status_code, re.sub(rb'name="(csrfmiddlewaretoken|client_id)" value="[^"]*"', b"", body)


def test_after_a_consent_is_withdrawn_no_page_depends_on_what_was_answered(signed_in, lifter, numbers):
    withdraw_consent(lifter, now=at("2026-12-01 11:30"))
    asked = [
        (method, name, address_of(name, parts, numbers))
        for method, (name, parts) in product(("get", "post"), routes().items())
        if KIND[name] in {"health", "to run the floor", "to plan", "link"} and name not in THEIR_OWN
    ]
    first = {about: told(signed_in, about[0], about[2]) for about in asked}
    other_answers()
    differs = [about[:2] for about in asked if told(signed_in, about[0], about[2]) != first[about]]
    assert not differs
