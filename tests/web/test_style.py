"""The style files: what they promise about contrast, inline styles and their own vocabulary."""

import re
from importlib import resources
from pathlib import Path

import pytest

CSS = resources.files("floorward.web") / "static" / "css"
FILES = ("tokens", "base", "parts", "forms", "drawings", "pages", "print")
DOCS = Path(__file__).parents[2] / "docs" / "reference" / "look.md"


def text(name):
    return (CSS / f"{name}.css").read_text(encoding="utf-8")


def without_comments(name):
    return re.sub(r"/\*.*?\*/", "", text(name), flags=re.DOTALL)


def colours():
    found = re.findall(r"--([\w-]+): light-dark\(#(\w{6}), #(\w{6})\)", text("tokens"))
    return {name: (light, dark) for name, light, dark in found}


def luminance(hexadecimal):
    channels = [int(hexadecimal[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(a, b):
    """The ratio of WCAG 2.2, 1.4.3."""
    high, low = sorted((luminance(a), luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("theme", [0, 1], ids=["light", "dark"])
@pytest.mark.parametrize("surface", ["ground", "sheet"])
@pytest.mark.parametrize(
    ("name", "least"),
    [("ink", 7), ("ink-2", 4.5), ("chalk", 4.5), ("oak", 4.5), ("edge", 3), ("body-line", 3)],
)
def test_inks_keep_their_contrast_on_both_surfaces(name, least, surface, theme):
    assert contrast(colours()[name][theme], colours()[surface][theme]) >= least


@pytest.mark.parametrize("theme", [0, 1], ids=["light", "dark"])
def test_chalk_words_are_legible_on_their_wash(theme):
    assert contrast(colours()["chalk"][theme], colours()["chalk-wash"][theme]) >= 4.5


def test_the_index_names_every_file_in_the_order_of_the_layers():
    index = text("index")
    assert re.search(r"@layer ([\w, ]+);", index)[1].split(", ") == list(FILES)
    assert re.findall(r'url\("(\w+)\.css"\)', index) == list(FILES)
    assert sorted(f.name for f in CSS.iterdir()) == sorted(f"{name}.css" for name in ("index", *FILES))


@pytest.mark.parametrize("name", FILES)
def test_braces_close_in_every_file(name):
    body = without_comments(name)
    assert body.count("{") == body.count("}")


@pytest.mark.parametrize("name", [name for name in FILES if name not in {"tokens", "print"}])
def test_colours_are_named_in_the_tokens_only(name):
    bare = re.findall(r"#[0-9a-fA-F]{3,8}\b(?!\))", without_comments(name))
    assert bare == []


@pytest.mark.parametrize("name", FILES)
def test_nothing_is_fetched_from_elsewhere(name):
    assert re.findall(r"url\((?!#)", without_comments(name)) == []


@pytest.mark.parametrize("name", ["parts", "forms", "pages"])
def test_every_class_is_explained_in_the_comments_of_its_file(name):
    said = (
        " ".join(re.findall(r"/\*.*?\*/", text(name), flags=re.DOTALL))
        + text("base")
        + DOCS.read_text(encoding="utf-8")
    )
    used = set(
        re.findall(r"\.([a-z][\w-]*)", re.sub(r"[\w.-]+\.(css|toml)|\d\.\d+", "", without_comments(name)))
    )
    assert sorted(c for c in used if not re.search(rf"\b{re.escape(c)}\b", said)) == []


def classes_of(name):
    return set(re.findall(r"\.([a-z][\w-]*)", without_comments(name)))


@pytest.mark.parametrize("name", ["base", "parts", "forms", "pages"])
def test_a_class_that_gives_ink_in_a_drawing_arranges_nothing_on_a_page(name):
    """A box with such a class hands its stroke down to every word of the drawings inside it."""
    assert sorted(classes_of("drawings") & classes_of(name)) == []


def test_every_class_in_the_reference_exists():
    section = DOCS.read_text(encoding="utf-8").split("## Classes for templates")[1].split("## Drawings")[0]
    rows = [
        row.split("|")[2]
        for row in section.splitlines()
        if row.startswith("| ") and not row.startswith("| for")
    ]
    named = {word for row in rows for code in re.findall(r"`([a-z][a-z -]*)`", row) for word in code.split()}
    styled = "".join(without_comments(name) for name in FILES)
    missing = sorted(c for c in named - {"main"} if not re.search(rf"\.{re.escape(c)}\b", styled))
    assert missing == []
