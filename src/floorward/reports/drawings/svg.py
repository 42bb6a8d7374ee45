"""Writing SVG: elements from values, everything escaped, numbers to a tenth of a pixel."""

import re
from html import escape

# What XML 1.0 has no place for; a name pasted from elsewhere may carry it.
_NOT_XML = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

# Mean advance of the widest usual device face, so that what is planned not to touch does not touch.
_NARROW = "1ijltfrI.,:;·'|()[] "
_ADVANCE_EM = 0.6
_NARROW_EM = 0.36
_DIGIT_EM = 0.58
_WIDE_EM = 0.9
_BOLD = 1.07


class Drawing(str):
    """Markup that is safe to place in a page as it is: a template asks `__html__` and does not escape it again."""

    __slots__ = ()

    def __html__(self) -> str:
        return str(self)


def number(value: float) -> str:
    """A coordinate to a tenth, without a trailing `.0` or `-0`."""
    text = f"{value:.1f}"
    text = text.removesuffix(".0")
    return "0" if text == "-0" else text


def element(tag: str, *inside: str, **attributes: object) -> str:
    """One element. `class_` and `text_anchor` become `class` and `text-anchor`; None and empty attributes are left out.

    `inside` is markup: words go through `words`, which escapes them.
    """
    pairs = ((key.rstrip("_").replace("_", "-"), value) for key, value in attributes.items())
    written = "".join(f' {key}="{_attribute(value)}"' for key, value in pairs if value not in {None, ""})
    return f"<{tag}{written}>{''.join(inside)}</{tag}>" if inside else f"<{tag}{written}/>"


def words(text: str, x: float, y: float, *, class_: str = "", anchor: str = "") -> str:
    """Words with their baseline at (x, y); `anchor` is start, middle or end."""
    return element("text", clean(text), x=x, y=y, text_anchor=anchor, class_=class_)


def path(d: str, class_: str, **attributes: object) -> str:
    """A path."""
    return element("path", class_=class_, d=d, **attributes)


def box(x: float, y: float, width: float, height: float, class_: str, **attributes: object) -> str:
    """A rectangle from its upper left corner."""
    return element(
        "rect", class_=class_, x=x, y=y, width=max(width, 0.0), height=max(height, 0.0), **attributes
    )


def disc(x: float, y: float, radius: float, class_: str) -> str:
    """A circle."""
    return element("circle", class_=class_, cx=x, cy=y, r=radius)


def group(*inside: str, class_: str = "", **attributes: object) -> str:
    """A group, or nothing when there is nothing in it."""
    return element("g", *inside, class_=class_, **attributes) if any(inside) else ""


def picture(width: float, height: float, label: str, *inside: str, class_: str = "") -> Drawing:
    """A whole drawing of `width` by `height` px.

    `label` says in words what it shows; without one the drawing only repeats the words beside it and is hidden from ears.
    """
    heard = {"role": "img", "aria_label": label} if label else {"aria_hidden": "true"}
    view = f"0 0 {number(width)} {number(height)}"
    return Drawing(element("svg", *inside, class_=class_, viewBox=view, width=width, height=height, **heard))


def clean(text: str) -> str:
    """Text as it may stand in markup, whoever typed it."""
    return escape(_NOT_XML.sub("\ufffd", text), quote=True)


def line(points: list[tuple[float, float]] | tuple[tuple[float, float], ...], *, closed: bool = False) -> str:
    """The path data of a broken line."""
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points) + ("Z" if closed else "")


def text_width_px(text: str, size_px: float = 13, *, bold: bool = False) -> float:
    """How wide words will be at most, roughly: devices differ in their face, so this errs to the wide side."""
    return sum(map(_advance_em, text)) * size_px * (_BOLD if bold else 1.0)


def _advance_em(character: str) -> float:
    if character.isdigit():
        return _DIGIT_EM
    if character in _NARROW:
        return _NARROW_EM
    return _WIDE_EM if character in "mwMW@%—" or ord(character) > 0x2E80 else _ADVANCE_EM


def _attribute(value: object) -> str:
    return number(value) if isinstance(value, float) else clean(str(value))
