"""The pages in Spanish: no English is left on them, and nothing that a machine reads has changed."""

import re
from html import unescape

import polib
import pytest
from django.urls import reverse
from pypdf import PdfReader

from floorward.actions import links
from floorward.storage.models import Lifter, Line
from tests import catalogue
from tests.conftest import at
from tests.training import trained
from tests.web.evening import accepted
from tests.web.test_access import PAGES, address_of, numbers, routes  # noqa: F401 - a fixture

pytestmark = pytest.mark.django_db

IN_ENGLISH = {"help", "help-page", "help-table"}  # the documents are written in English, and the page says so
NO_PAGE = {
    "start-demo",
    "leave-demo",
    "sign-out",
    "lifter-archive",
    "import-template",
    "service-worker",
    "alive",
}
SPANISH = {"Accept-Language": "es"}


@pytest.fixture(scope="module")
def english_only():
    """Every English text whose Spanish is another."""
    book = polib.pofile(str(catalogue.file_of("es")))
    return {e.msgid for e in book if e.msgid != (e.msgstr or e.msgstr_plural.get(0)) and len(e.msgid) > 2}


def pieces(html):
    """What a person reads on a page, piece by piece."""
    seen = re.sub(r"<(script|style)\b.*?</\1>", "", html, flags=re.DOTALL)
    spoken = re.findall(r"""\b(?:aria-label|placeholder|title|alt)="([^"]*)\"""", seen)
    parts = (unescape(part).strip(" .,:;·“”()\n") for part in (*re.split(r"<[^>]*>", seen), *spoken))
    return {re.sub(r"\s+", " ", part) for part in parts if part}


def for_machines(html):
    """What a machine reads: values, addresses and data, but for what differs from one page to the next.

    Countries stand in the order of the reader's alphabet; here they are put in that of their codes.
    """
    kept = re.sub(r"""name="(csrfmiddlewaretoken|client_id)" value="[^"]*\"""", "", html)
    kept = re.sub(
        r'name="country".*?</select>',
        lambda found: "".join(sorted(found[0].split("<option"))),
        kept,
        flags=re.DOTALL,
    )
    return re.findall(
        r"""\b(?:name|value|href|action|data-line|data-kind|data-limit|min|max|step)="([^"]*)\"""",
        kept,
    )


def read(client, name, parts, story, tongue):
    answer = client.get(address_of(name, parts, story), headers={"Accept-Language": tongue})
    is_page = answer.status_code == 200 and answer["Content-Type"].startswith("text/html")
    return answer.content.decode() if is_page else ""


def test_no_english_is_left_and_machines_read_the_same(signed_in, numbers, english_only):  # noqa: F811
    Lifter.objects.update(language="es")  # the card speaks to the lifter, whoever reads it
    left, changed, shown = {}, {}, 0
    for name, parts in routes().items():
        if name in IN_ENGLISH | NO_PAGE:
            continue
        page = read(signed_in, name, parts, numbers, "es")
        shown += bool(page)
        if words := pieces(page) & english_only:
            left[name] = sorted(words)
        english = read(signed_in, name, parts, numbers, "en")
        if for_machines(page) != for_machines(english):
            changed[name] = sorted(set(for_machines(page)) ^ set(for_machines(english)))
    assert left == {}
    assert changed == {}
    assert shown > 40


def test_the_help_says_that_it_is_in_english(client, db):
    for address in (reverse("help"), reverse("help-page", args=["how-to/session"])):
        page = client.get(address, headers=SPANISH).content.decode()
        assert "Estas páginas están escritas en inglés." in page
        assert 'lang="en"' in page


def test_the_evening_goes_through_in_spanish(client, signed_in, lifter, coach, clock):
    """Report, questions, search, session, hour after, morning by link, decision: all in Spanish."""
    coach.language = "es"
    coach.save()
    episode = accepted(signed_in, lifter)
    found = signed_in.get(reverse("search-result", args=[episode.sessions.get().searches.get().pk]))
    assert "El entrenamiento empieza con" in found.content.decode()
    assert "Planear la sesión" in found.content.decode()
    plan = signed_in.post(reverse("session-today", args=[lifter.pk]), follow=True).content.decode()
    assert "Peso muerto" in plan
    assert "en cada lado" in plan
    token = links.token_of(links.make_link(lifter, at("2026-11-23 20:00")))
    clock("2026-11-24 07:00")
    morning = client.get(reverse("personal-link", args=[token]), headers=SPANISH).content.decode()
    assert "Buenos días, Abel." in morning
    assert "¿Entumecimiento nuevo, debilidad, o problemas con la vejiga o el intestino?" in morning
    form = {
        "score": "1",
        "new_symptoms": "yes",
        "day": "2026-11-24",
        "shown_day": "2026-11-24",
        "episode": episode.pk,
    }
    stop = client.post(
        reverse("personal-link", args=[token]), form, headers=SPANISH, follow=True
    ).content.decode()
    assert "Hoy no levantes peso" in stop
    assert "llama al 999 ahora" in stop


def test_the_card_speaks_the_lifters_language_to_whoever_prints_it(signed_in, lifter, clock, tmp_path):
    lifter.language = "es"
    lifter.save()
    episode = accepted(signed_in, lifter)
    signed_in.post(reverse("session-today", args=[lifter.pk]))
    session = episode.sessions.order_by("-pk").first()
    file = tmp_path / "card.pdf"
    file.write_bytes(signed_in.get(reverse("card-pdf", args=[session.pk])).content)
    text = " ".join(PdfReader(file).pages[0].extract_text().split())
    assert "lunes 23 de noviembre" in text
    assert "Para todo y que te vean de inmediato si hay" in text
    assert "no consejo médico" in text
    page = signed_in.get(reverse("card", args=[session.pk])).content.decode()
    assert "Para este ejercicio y dile a tu entrenador si" in page
    assert "To the first set" in page  # the page around the card stays the coach's


def test_a_coach_who_thinks_in_pounds_reads_pounds_and_the_plates_in_kilograms(
    signed_in, lifter, coach, clock
):
    coach.unit = "lb"
    coach.save()
    episode = accepted(signed_in, lifter)
    signed_in.post(reverse("session-today", args=[lifter.pk]))
    line = Line.objects.get(session__lifter=lifter)
    plan = signed_in.get(reverse("plan", args=[line.session_id])).content.decode()
    assert re.search(r"\d+<small>lb</small>", plan)
    assert "20 kg" in plan  # the bar, as stamped
    trained(episode, "2026-11-22", "95")
    page = signed_in.get(reverse("lifter", args=[lifter.pk])).content.decode()
    assert "209 lb" in page  # 95 kg are 209.4 lb
    assert "69.3 in" in page  # 1.76 m


def test_every_page_is_in_the_list(english_only):
    assert {"today", "plan", "session", "card"} <= {
        name for names in PAGES.values() for name in names.split()
    }
    assert len(english_only) > 2000
