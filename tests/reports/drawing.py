"""Reading a drawing back: its elements, its classes, and where its words stand."""

import re
from xml.etree import ElementTree as ET

from floorward.reports.drawings.svg import text_width_px

SIZES = {"t-11": 11, "t-12": 12, "t-14": 14, "t-15": 15, "t-18": 18}


def parsed(drawing):
    """The drawing as an element tree; fails when it is not XML, or brings a style or a script of its own."""
    root = ET.fromstring(drawing)  # noqa: S314 - our own drawing
    for element in root.iter():
        assert element.tag not in {"style", "script", "foreignObject"}
        assert not [key for key in element.attrib if key == "style" or key.startswith("on")]
    return root


def with_class(root, name):
    return [e for e in root.iter() if name in e.get("class", "").split()]


def spoken(root):
    return root.get("aria-label")


def texts(root):
    return [e.text for e in root.iter("text")]


def text_boxes(root):
    """(words, left, top, right, bottom) of every text, in drawing units, with the group shifts applied."""
    return list(_boxes(root, 0.0, 0.0))


def overlapping(root, slack=0.5):
    """Pairs of words whose boxes overlap by more than `slack` px."""
    boxes = text_boxes(root)
    pairs = ((a, b) for i, a in enumerate(boxes) for b in boxes[i + 1 :])
    return [(a[0], b[0]) for a, b in pairs if _overlap(a, b, slack)]


def outside(root):
    """Words that reach out of the drawing."""
    _, _, width, height = map(float, root.get("viewBox").split())
    return [
        b[0]
        for b in text_boxes(root)
        if b[1] < -0.5 or b[3] > width + 0.5 or b[2] < -0.5 or b[4] > height + 0.5
    ]


def _overlap(a, b, slack):
    return a[1] < b[3] - slack and b[1] < a[3] - slack and a[2] < b[4] - slack and b[2] < a[4] - slack


def _boxes(element, dx, dy):
    shift = re.fullmatch(r"translate\((\S+) (\S+)\)", element.get("transform", ""))
    if shift:
        dx, dy = dx + float(shift[1]), dy + float(shift[2])
    if element.tag == "text":
        yield _box(element, dx, dy)
    for child in element:
        yield from _boxes(child, dx, dy)


def _box(element, dx, dy):
    classes = element.get("class", "").split()
    size = next((SIZES[c] for c in classes if c in SIZES), 13)
    width = text_width_px(element.text, size, bold="tb" in classes)
    x, y = float(element.get("x")) + dx, float(element.get("y")) + dy
    left = {"middle": x - width / 2, "end": x - width}.get(element.get("text-anchor"), x)
    return element.text, left, y - 0.75 * size, left + width, y + 0.22 * size
