"""A person without a mouse: Tab, Enter, Space and arrows, and what the eye sees of where they are."""

from playwright.sync_api import Locator, Page

FARTHEST = 150

# where the focus is, whether that is what is aimed at, and whether an eye sees it: an outline on the element or on the key drawn for it
LOOK = """aim => {
  const here = document.activeElement;
  if (!here || here === document.body) return { there: false, seen: true, what: 'the page' };
  const label = here.closest('label');
  const drawn = [here, ...here.querySelectorAll('*'), ...(label ? [label, ...label.querySelectorAll('*')] : [])];
  const lined = drawn.find(one => {
    const style = getComputedStyle(one);
    return style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2 && one.checkVisibility({ opacityProperty: true });
  });
  const box = (lined ?? here).getBoundingClientRect();
  const open = box.width > 8 && box.height > 8 && box.bottom > 0 && box.top < innerHeight;
  const group = here.type === 'radio' && aim.type === 'radio' && here.name === aim.name && here.form === aim.form;
  return {
    there: here === aim, group, seen: Boolean(lined) && open,
    what: `${here.tagName.toLowerCase()} "${(label ?? here).textContent.trim().slice(0, 40) || here.name || here.id}"`,
  };
}"""


class Keys:
    """Goes to things by the keyboard, and notes each stop at which nobody could see where they are."""

    def __init__(self, page: Page) -> None:
        self.page, self.unseen = page, []

    def look(self, aim: object) -> dict:
        found = self.page.evaluate(LOOK, aim)
        if not found["seen"]:
            self.unseen.append(f"{found['what']} on {self.page.url}")
        return found

    def to(self, place: Locator) -> None:
        """Tab until the place, or the group of keys that it belongs to, has the focus."""
        aim = place.first.element_handle()
        for _ in range(FARTHEST):
            found = self.look(aim)
            if found["there"] or found.get("group"):
                return
            self.page.keyboard.press("Tab")
        raise AssertionError(f"no way to {place} by the keyboard")

    def press(self, place: Locator) -> None:
        """A link or a key."""
        self.to(place)
        self.page.keyboard.press("Enter")

    def turn(self, place: Locator) -> None:
        """A link or a key that leads to another page."""
        self.to(place)
        with self.page.expect_navigation():
            self.page.keyboard.press("Enter")

    def write(self, place: Locator, text: str) -> None:
        self.to(place)
        self.page.keyboard.type(text)

    def choose(self, place: Locator) -> None:
        """One of a group: the arrows go from key to key."""
        aim = place.first.element_handle()
        self.to(place)
        for _ in range(FARTHEST):
            if self.look(aim)["there"]:
                break
            self.page.keyboard.press("ArrowDown")
        if not aim.is_checked():
            self.page.keyboard.press("Space")
        assert aim.is_checked()

    def tick(self, place: Locator) -> None:
        self.to(place)
        self.page.keyboard.press("Space")
        assert place.first.is_checked()
