"""What a coach does on the pages, as words a test can say. Every function acts like a thumb: it taps and types, nothing else."""

from playwright.sync_api import Locator, Page, expect

KG_PLATES = (
    ("25", "8", "450"),
    ("20", "4", "450"),
    ("15", "4", "450"),
    ("10", "4", "450"),
    ("5", "4", "230"),
    ("2.5", "4", "200"),
    ("1.25", "4", "170"),
)
LB_PLATES = (
    ("45", "8", "450"),
    ("25", "4", "280"),
    ("10", "4", "230"),
    ("5", "4", "200"),
    ("2.5", "4", "165"),
)


def open_own_gym(page: Page, code: str) -> None:
    """From the first page to the equipment of a gym of one's own."""
    page.get_by_role("link", name="Start my own gym").click()
    page.get_by_label("Code from the console").fill(code)
    page.get_by_label("Name of the gym").fill("Canal Street Iron")
    page.get_by_label("Country").select_option("GB")
    page.get_by_label("Time zone").select_option("Europe/London")
    page.get_by_label("Your name").fill("Imke Torvald")
    page.get_by_label("Name to sign in with").fill("imke")
    page.get_by_label("Password").fill("quiet lever arms")
    page.get_by_role("button", name="Open the gym").click()
    expect(page.get_by_role("heading", name="What you own decides")).to_be_visible()


def sign_in(page: Page) -> None:
    """Through the door that was opened before."""
    page.goto("/sign-in")
    page.get_by_label("Name").fill("imke")
    page.get_by_label("Password").fill("quiet lever arms")
    page.get_by_role("button", name="Sign in").click()


def write_down_iron(page: Page) -> None:
    """Two bars, plates of both kinds, blocks."""
    for name, mass in (("Bar 1", "20 kg"), ("Pound bar", "45 lb")):
        page.get_by_role("link", name="Add a bar").click()
        page.get_by_label("What you call it").fill(name)
        page.get_by_label("Mass without").fill(mass)
        page.get_by_role("button", name="Save").click()
    for unit, sizes in (("kg", KG_PLATES), ("lb", LB_PLATES)):
        for mass, count, diameter in sizes:
            page.get_by_role("link", name="Add plates").click()
            page.get_by_label("Mass of one plate").fill(f"{mass} {unit}")
            page.get_by_label("How many").fill(count)
            page.get_by_label("Diameter").fill(diameter)
            page.get_by_role("button", name="Save").click()
    for name, thickness, pairs in (
        ("2 cm mat", "20", "2"),
        ("5 cm block", "50", "2"),
        ("10 cm block", "100", "2"),
    ):
        page.get_by_role("link", name="Add blocks").click()
        page.get_by_label("What you call it").fill(name)
        page.get_by_label("Thickness").fill(thickness)
        page.get_by_label("Pairs").fill(pairs)
        page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("10 cm block")).to_be_visible()


def new_lifter(page: Page, name: str, unit: str = "kg") -> None:
    """Somebody new who agrees that answers are kept."""
    page.goto("/lifters/new")
    page.get_by_label("Name or alias").fill(name)
    page.get_by_label("Year of birth").fill("1991")
    choose(page, "male")
    page.get_by_label("Height", exact=True).fill("176 cm")
    page.get_by_label("Body mass").fill("85 kg")
    choose(page, unit)
    page.get_by_role("button", name="Add lifter").click()
    page.get_by_label("Yes: keep these answers").check()
    page.get_by_role("button", name="Record the yes").click()


def something_hurts(page: Page, *, load: str, usual: str, pain: int, region: str = "low back") -> None:
    """The first report, up to the questions."""
    page.get_by_role("link", name="Something hurts").click()
    choose(page, region)
    page.get_by_label("Load that hurt").fill(load)
    page.get_by_label("Reps").fill("3")
    page.get_by_label("Usual load").fill(usual)
    tap_pain(page, pain)
    page.get_by_role("button", name="On to the questions").click()


def answer_no_to_everything(page: Page, *, but: str = "") -> None:
    """Every question no, save the one that contains `but`."""
    for question in page.locator("form#ask fieldset.choice:visible").all():
        answer = "Yes" if but and but in (question.text_content() or "") else "No"
        choose(question, answer)
    for tick in page.locator("form#ask input[type=checkbox]:visible").all():
        tick.check()
    page.get_by_role("button", name="What do the answers say?").click()


def begin_search(page: Page, *, direction: str, rest: int = 1, bar: str = "Bar 1") -> None:
    """From the lifter's page to the first test."""
    tap_pain(page, rest)
    page.get_by_label("Bar", exact=True).select_option(label=bar_choice(page, bar))
    choose(page, direction)
    page.get_by_role("button", name="Show the first set").click()


def bar_choice(page: Page, bar: str) -> str:
    """The words of a bar's entry in the list."""
    texts = page.get_by_label("Bar", exact=True).locator("option").all_text_contents()
    return next(text for text in texts if bar in text)


def choose(place: Page | Locator, answer: str) -> None:
    """Press the key with this word."""
    place.get_by_role("radio", name=answer, exact=True).first.check()


def tap_pain(page: Page, score: int) -> None:
    """The key of the pain pad, whether it chooses or logs at once."""
    pad = page.locator(".room:visible").first
    key = pad.get_by_role("radio", name=str(score), exact=True).or_(
        pad.get_by_role("button", name=str(score), exact=True)
    )
    key.click()


def test_a_load(page: Page, load: str, pain: int, *, acceptable: bool) -> None:
    """One test as it is proposed."""
    expect(page.locator("p.load")).to_contain_text(load)
    tap_pain(page, pain)
    choose(page.locator("fieldset.choice", has_text="cceptable"), "Yes" if acceptable else "No")
    page.get_by_role("button", name="Log ").click()


test_a_load.__test__ = False  # type: ignore[attr-defined]
