"""Phones at a served gym: each logs sets by the form of the page, again until it is told that a set is stored, and reads pages.

`python -m tests.storage.phones COUNT` writes a gym for so many into the data folder that DATA names, and says a line for each phone.
"""

import http.client
import json
import os
import sys
import time
from dataclasses import asdict, dataclass, field
from typing import Any
from urllib.parse import urlencode

SECRET = "k" * 32  # a form's token need only agree with the cookie


@dataclass
class Phone:
    """A coach's phone on one lifter's session."""

    session: int
    line: int
    key: str
    port: int = 0
    stored: list[str] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
    refused: list[int] = field(default_factory=list)

    def asks(self, method: str, path: str, form: dict[str, Any] | None = None) -> tuple[int, str]:
        """The status and text of an answer; 0 where none came."""
        headers = {"Cookie": f"sessionid={self.key}; csrftoken={SECRET}"}
        if form:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        began = time.perf_counter()
        try:
            connection.request(method, path, urlencode(form) if form else None, headers)
            answer = connection.getresponse()
            said = answer.status, answer.read().decode()
        except OSError:
            return 0, ""
        finally:
            connection.close()
        self.seconds.append(time.perf_counter() - began)
        return said

    def reads(self) -> tuple[int, str]:
        """The page between sets."""
        return self.asks("GET", f"/sessions/{self.session}?line={self.line}")

    def logs(self, name: str) -> tuple[int, str]:
        """One set, pressed once."""
        form = {
            "csrfmiddlewaretoken": SECRET,
            "line": self.line,
            "kind": "work",
            "load": "60",
            "unit": "kg",
            "reps": 5,
            "client_id": name,
        }
        return self.asks("POST", f"/sessions/{self.session}", form)

    def logs_until_stored(self, name: str) -> None:
        """One set, pressed until the page says that it is stored."""
        while (status := self.logs(name)[0]) != 302:
            self.refused.append(status)
            time.sleep(0.05)
        self.stored.append(name)


def write(count: int) -> list[Phone]:
    """A gym with so many lifters in a session each, and as many phones signed in."""
    import django

    django.setup()
    from floorward.storage import migrating

    migrating.bring_up_to_date("default")
    from datetime import timedelta

    from django.utils import timezone

    from floorward.actions import gyms
    from floorward.storage.models import Line, Session
    from floorward.storage.place import atomic
    from tests.people import a_gym, a_lifter, iron

    now = timezone.now()
    phones = []
    with atomic():
        gym = a_gym("Canal Street Iron", now - timedelta(days=30))
        iron(gym)
        coach = gyms.add_staff(gym, name="Bram Okello", sign_in_name="bram", role="coach", password=None)
        for number in range(count):
            lifter = a_lifter(gym, coach, now - timedelta(days=20), name=f"Lifter {number}")
            session = Session.objects.create(lifter=lifter, day=now.date(), started_at=now)
            line = Line.objects.create(
                session=session, order=1, role="usual", lift="bench-press", load=60, sets=3, reps=5
            )
            phones.append(Phone(session=session.pk, line=line.pk, key=signed_in(coach)))
    return phones


def signed_in(coach: Any) -> str:
    """The key of a session of this coach's, as signing in would make one."""
    from django.contrib.auth import login
    from django.contrib.sessions.backends.db import SessionStore
    from django.http import HttpRequest

    request = HttpRequest()
    request.session = SessionStore()
    login(request, coach, backend="django.contrib.auth.backends.ModelBackend")
    request.session.save()
    return str(request.session.session_key)


if __name__ == "__main__":
    os.environ["DJANGO_SETTINGS_MODULE"] = "floorward.config"
    for phone in write(int(sys.argv[1])):
        print(json.dumps({name: asdict(phone)[name] for name in ("session", "line", "key")}))  # noqa: T201
