"""What a coach does in a browser, from the first report of pain to the last test, for the tests to say in one line."""

from floorward.core.screen import all_rows
from floorward.storage.models import BarRow, Episode, Search

REPORT = {
    "region": "low-back",
    "since": "2026-11-20",
    "lift": "deadlift",
    "load": "200",
    "reps": "1",
    "usual_load": "200",
    "pain": "7",
}


def report(client, lifter, **about) -> Episode:
    """Write down the first report."""
    answer = client.post(f"/lifters/{lifter.pk}/episode/new", {**REPORT, **about})
    assert answer.status_code == 302, answer.content.decode()
    return lifter.episodes.first()


def no_to_all(**yes) -> dict[str, str]:
    """Answers to every question there is: no, but for those named."""
    return {"limb": "no", **{row.id: "no" for row in all_rows()}, **yes}


def screened(client, lifter, **about) -> Episode:
    """An episode with a screen that stops nothing."""
    episode = report(client, lifter, **about)
    answer = client.post(f"/episodes/{episode.pk}/screen", no_to_all())
    assert answer.status_code == 302, answer.content.decode()
    return episode


def begin(client, episode, **start) -> Search:
    """Start a search on the first straight bar of the episode's unit."""
    bar = BarRow.objects.filter(kind="straight", unit=episode.unit).first()
    loads = {
        "hurt_load": f"{episode.load} {episode.unit}",
        "usual_load": f"{episode.usual_load} {episode.unit}",
    }
    form = {"rest_pain": "1", "lift": episode.lift, "bar": bar.pk, "direction": "down", **loads, **start}
    answer = client.post(f"/episodes/{episode.pk}/find", form)
    assert answer.status_code == 302, answer.content.decode()
    return Search.objects.latest("pk")


def shown(client, search) -> str:
    """What the working page, or where it leads, says."""
    return client.get(f"/searches/{search.pk}", follow=True).content.decode()


def log(client, search, load, pain, ok="yes", **more):
    """Log a test as the page would send it."""
    seen = search.tests.filter(kind="test").count()
    form = {
        "load": load,
        "seen": seen,
        "reps": "3",
        "pain": pain,
        "acceptable": ok,
        "spreading": "no",
        **more,
    }
    return client.post(f"/searches/{search.pk}", form)


EVENING = (
    ("180", "6", "no"),
    ("142.5", "5", "no"),
    ("20", "0", "yes"),
    ("45", "0", "yes"),
    ("70", "1", "yes"),
    ("95", "2", "yes"),
    ("107.5", "3", "yes"),
)


def accepted(client, lifter) -> Episode:
    """The worked evening's search: 107.5 kg accepted, training at 95."""
    episode = screened(client, lifter)
    search = begin(client, episode)
    for load, pain, ok in EVENING:
        log(client, search, load, pain, ok)
    return episode
