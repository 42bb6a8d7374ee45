"""Tell a lifter's whole story into the data folder that DATA names, then erase them: `python -m tests.storage.erasing tell|erase`."""

import os
import sys

os.environ["DJANGO_SETTINGS_MODULE"] = "floorward.config"

NAME = "Quillon Varnaby-Osk"
ANSWERS = {
    "eases": "lying on the cold kitchen tiles",
    "sentence": "woke like a rusted gate",
    "note": "the knock was heard in the hall",
    "clinician": "Dr Ottoline Brask",
    "guardian": "Perpetua Varnaby-Osk",
    "file": "log of the varnaby lad.csv",
}


def tell() -> None:
    from django.contrib.sessions.backends.db import SessionStore

    from floorward.actions import audit, links, receipts
    from floorward.actions.mornings import Answer, record_morning
    from floorward.storage.models import Consent, Gym, Import, Session, Trace
    from tests.conftest import at
    from tests.people import a_lifter
    from tests.training import sore_back, trained

    gym = Gym.objects.get()
    coach = gym.staff.get()
    lifter = a_lifter(gym, coach, at("2026-11-02 09:00"), name=NAME)
    Consent.objects.filter(lifter=lifter).update(guardian_name=ANSWERS["guardian"])
    episode = sore_back(lifter, coach, started="2026-11-10 18:10", eases=ANSWERS["eases"])
    session = trained(episode, "2026-11-11", "97.5")
    said = Answer(day=at("2026-11-12 07:00").date(), score=4, sentence=ANSWERS["sentence"])
    record_morning(episode, said, now=at("2026-11-12 07:00"))
    again = Answer(day=said.day, score=2)
    record_morning(episode, again, now=at("2026-11-12 07:05"))
    episode.reviews.create(
        code="first", day=said.day, outcome="go-on", note=ANSWERS["note"], at=at("2026-11-12 08:00")
    )
    screening = episode.screenings.create(
        at=at("2026-11-10 18:15"), answers={"numb": ANSWERS["note"]}, outcome="go-on", locks=""
    )
    screening.clearances.create(
        day=said.day,
        clinician_role="GP",
        clinician_name=ANSWERS["clinician"],
        entered_at=at("2026-11-12 08:00"),
    )
    link = links.make_link(lifter, at("2026-11-10 18:30"))
    receipts.take("a" * 32, f"/sessions/{session.pk}/after", at("2026-11-11 19:00"))
    receipts.take("b" * 32, f"/l/{links.token_of(link)}/", at("2026-11-12 07:00"))
    receipts.take("c" * 32, f"/sessions/{Session.objects.first().pk + 1000}", at("2026-11-12 07:00"))
    audit.note(lifter, coach, kind="overview", changed=False, now=at("2026-11-11 18:00"))
    Trace.objects.create(
        gym=gym,
        at=at("2026-11-11 19:00"),
        by=coach,
        what="after-changed",
        subject="session",
        subject_id=session.pk,
        before={"said": ANSWERS["note"]},
    )
    taken = Import.objects.create(
        gym=gym, kind="sets", name=ANSWERS["file"], state="taken", at=at("2026-11-10 09:00")
    )
    taken.past_sets.create(lifter=lifter, day=said.day, lift="deadlift", load=180, reps=3, sets=2)
    Import.objects.create(
        gym=gym, kind="sets", name="open.csv", kept=f"{NAME};200;1", at=at("2026-11-10 09:00")
    )
    browser = SessionStore()
    browser["_messages"] = f"the set was moved to {NAME}"
    browser["kept"] = "this"
    browser.save()


def erase() -> None:
    from floorward.actions import rights
    from floorward.storage.models import Gym, Lifter
    from tests.conftest import at

    rights.erase(Lifter.objects.get(name=NAME), by=Gym.objects.get().staff.get(), now=at("2026-11-20 12:00"))


if __name__ == "__main__":
    import django

    django.setup()
    {"tell": tell, "erase": erase}[sys.argv[1]]()
