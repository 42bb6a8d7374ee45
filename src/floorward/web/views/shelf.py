"""The documentation inside the app: the same pages as in docs/, one source."""

import re
from itertools import pairwise
from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import mark_safe
from markdown_it import MarkdownIt
from markdown_it.token import Token

from floorward import tables
from floorward.reports.wording import word

_TABLE_FILE = re.compile(r"^.*/tables/([a-z_]+)\.toml$")
_LONG_NAME = re.compile(
    r"_(?=\w[^<>\n]*</code>)"
)  # a long name in a line of words may break after its underlines
SHELVES = ("tutorial", "how-to", "science", "reference", "decisions")


@login_not_required
def shelf(request: HttpRequest) -> HttpResponse:
    """Every page of the documentation, by kind."""
    shelves = [(name, [(slug(file), title(file)) for file in pages(name)]) for name in SHELVES]
    return render(request, "help/shelf.html", {"page": "help", "shelves": [row for row in shelves if row[1]]})


@login_not_required
def help_page(request: HttpRequest, name: str) -> HttpResponse:
    """One page."""
    known = {slug(file): file for shelf_name in SHELVES for file in pages(shelf_name)}
    if name not in known:
        raise Http404
    text = known[name].read_text(encoding="utf-8")
    page = {"page": "help", "title": title(known[name]), "text": mark_safe(to_html(text))}  # noqa: S308 - our own pages
    return render(request, "help/page.html", page)


@login_not_required
def table_page(request: HttpRequest, name: str) -> HttpResponse:
    """The numbers of one table, each with its unit and source; the table of sources as it is."""
    if name == "references":
        return render(request, "help/references.html", {"page": "help", "rows": tables.references().items()})
    if name not in tables.names():
        raise Http404
    own = {key: word("source", key) for key in tables.OWN_SOURCES}
    known = {key: f"{row['title']}. {row['where']}" for key, row in tables.references().items()}
    rows = [(row, own.get(row.source) or known[row.source]) for row in tables.rows(name)]
    return render(request, "help/table.html", {"page": "help", "name": name, "rows": rows})


def pages(shelf_name: str) -> list[Path]:
    """The pages on one shelf, in the order of their titles."""
    return sorted((settings.DOCS / shelf_name).glob("*.md"), key=title)


def slug(file: Path) -> str:
    """A page's address: its folder and name."""
    return f"{file.parent.name}/{file.stem}"


def title(file: Path) -> str:
    """A page's first heading."""
    with file.open(encoding="utf-8") as lines:
        return next((line.removeprefix("# ").strip() for line in lines if line.startswith("# ")), file.stem)


def to_html(text: str) -> str:
    """Markdown to HTML, with an anchor at every heading so that a rule or a number can be pointed at."""
    reader = MarkdownIt("commonmark", {"html": False}).enable("table")
    tokens = reader.parse(text)
    for opening, inline in pairwise(tokens):
        if opening.type == "heading_open":
            opening.attrSet("id", anchor(inline.content))
        if inline.type == "inline":
            _shorten_links(inline)
    html = _LONG_NAME.sub("_<wbr>", str(reader.renderer.render(tokens, reader.options, {})))
    # a wide table scrolls by itself, and the page around it stays
    return html.replace("<table>", '<div class="scroll"><table>').replace("</table>", "</table></div>")


def anchor(heading: str) -> str:
    """The anchor of a heading: its words in lower case, joined by hyphens."""
    return "-".join("".join(c if c.isalnum() else " " for c in heading.lower()).split())


def _shorten_links(inline: Token) -> None:
    """Links between pages name the file, so that they work on disk too; here the ending goes."""
    for token in inline.children or ():
        href = token.attrGet("href") if token.type == "link_open" else None
        if href and "://" not in str(href):
            token.attrSet("href", _TABLE_FILE.sub(r"/help/tables/\1", str(href)).replace(".md", ""))
