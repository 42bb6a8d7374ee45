"""The house rules that a script can judge."""

import ast
import re
import subprocess
from pathlib import Path

import pytest

from floorward import tables
from floorward.cli import COMMANDS, parser
from floorward.reports import wording

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "src" / "floorward"
DOCUMENTED = ("core", "maths", "tables", "reports")
TRACKED = tuple(
    ROOT / name
    for name in subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split("\0")
    if name and (ROOT / name).is_file()
)


def modules(*parts: str) -> list[Path]:
    return [file for part in parts for file in sorted((SOURCE / part).rglob("*.py"))]


@pytest.mark.parametrize("file", modules(""), ids=lambda f: str(f.relative_to(SOURCE)))
def test_every_module_says_what_it_is(file):
    assert "migrations/0" in str(file) or ast.get_docstring(ast.parse(file.read_text()))


@pytest.mark.parametrize("file", modules(*DOCUMENTED), ids=lambda f: str(f.relative_to(SOURCE)))
def test_every_public_function_says_what_it_means(file):
    nodes = list(ast.walk(ast.parse(file.read_text())))
    nested = {
        inner
        for node in nodes
        if isinstance(node, ast.FunctionDef)
        for inner in ast.walk(node)
        if inner is not node
    }
    public = [
        node
        for node in nodes
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_")
    ]
    assert [node.name for node in public if node not in nested and not ast.get_docstring(node)] == []


@pytest.mark.parametrize("name", tables.names())
def test_every_table_is_whole_and_every_source_known(name):
    assert tables.load(name)


def test_every_reference_says_what_and_where():
    assert [
        key for key, row in tables.references().items() if not {"title", "where", "tag"} <= set(row)
    ] == []


def test_references_stand_in_the_order_of_the_alphabet():
    assert list(tables.references()) == sorted(tables.references())


def test_every_reference_is_used():
    used = "\n".join(
        file.read_text()
        for file in (*SOURCE.rglob("*.toml"), *(ROOT / "tests").rglob("*.py"), *(ROOT / "docs").rglob("*.md"))
    )
    bodies = used.replace((SOURCE / "tables/references.toml").read_text(), "")
    assert [key for key in tables.references() if key not in bodies] == []


def test_every_command_has_its_page():
    page = (ROOT / "docs/reference/command-line.md").read_text()
    assert [name for name in COMMANDS if f"## `floorward {name}`" not in page] == []


def test_every_option_of_every_command_is_on_the_page():
    page = (ROOT / "docs/reference/command-line.md").read_text()
    commands = next(action for action in parser()._actions if action.choices).choices
    options = {
        option
        for command in commands.values()
        for action in command._actions
        for option in action.option_strings
    }
    assert (
        sorted(
            option
            for option in options
            if option.startswith("--") and option != "--help" and option not in page
        )
        == []
    )


def test_every_setting_has_its_line():
    page = (ROOT / "docs/reference/settings.md").read_text()
    read = set(re.findall(r'environ(?:\.get)?[\[(]"([A-Z_]+)"', (SOURCE / "config.py").read_text()))
    internal = {"FLOORWARD_FIRST_RUN_CODE", "FLOORWARD_LAN_DOOR", "FLOORWARD_LAN_FINGERPRINT"}
    assert read - internal - set(re.findall(r"`([A-Z_]+)`", page)) == set()


def test_every_table_has_its_line():
    page = (ROOT / "docs/reference/tables.md").read_text()
    assert [name for name in tables.names() if f"`{name}`" not in page] == []


def test_every_rule_has_its_page():
    page = (ROOT / "docs/reference/rules.md").read_text()
    assert [code for code in (*(f"R{n}" for n in range(9)), "E1", "E2") if code not in page] == []


def test_every_finding_has_its_sentence():
    codes = {
        code
        for file in modules("core", "actions", "web")
        for code in re.findall(r'Finding\([^)]*?code="([a-z0-9-]+)"', file.read_text(), re.DOTALL)
    }
    codes |= {
        code
        for file in modules("actions")
        for code in re.findall(r'Refused\("([a-z0-9-]+)"', file.read_text())
    }
    assert codes - set(wording.sentences()) == set()


def text_of(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return ""


def test_no_tracked_file_names_a_registry_or_a_path_of_this_machine():
    # built from pieces, so that this file does not find itself
    hosts = "|".join(
        (
            "pypi" + r"\.org",
            "python" + r"hosted\.",
            "registry" + r"\.npm",
            "debian" + r"\.org",
            "file" + "://",
        )
    )
    paths = "|".join((re.escape(str(ROOT)) + "/", "/" + "root/", "/" + "tmp/", "/" + "work/"))
    pattern = re.compile(rf"{hosts}|(?<![\w.])(?:{paths})")
    assert [str(file.relative_to(ROOT)) for file in TRACKED if pattern.search(text_of(file))] == []


def test_no_page_carries_an_inline_style_or_script():
    pattern = re.compile(r"\sstyle=|<script(?![^>]*\ssrc=)|\son[a-z]+=\"")
    templates = sorted((SOURCE / "web/templates").rglob("*.html"))
    assert [str(file.relative_to(SOURCE)) for file in templates if pattern.search(file.read_text())] == []


@pytest.mark.parametrize("word", ["diagnos", "prescri", "impinge", "red" + " flag"])
def test_the_tool_never_speaks_like_a_clinician(word):
    spoken = [*SOURCE.rglob("wording*.toml"), *(SOURCE / "web/templates").rglob("*.html")]
    lines = [line for file in spoken for line in file.read_text().splitlines() if word in line.lower()]
    assert [line for line in lines if "not a diagnosis" not in line and "never diagnoses" not in line] == []


CODE_BLOCKS = [
    pytest.param(block, id=f"{file.stem}-{number}")
    for file in sorted((ROOT / "docs").rglob("*.md"))
    for number, block in enumerate(re.findall(r"```python\n(.*?)```", file.read_text(), re.DOTALL))
]


@pytest.mark.parametrize("block", CODE_BLOCKS)
def test_every_example_of_the_documentation_runs(block):
    exec(compile(block, "docs", "exec"), {})  # noqa: S102 - our own pages


def test_every_link_between_pages_leads_somewhere():
    broken = [
        f"{page.name}: {target}"
        for page in (*(ROOT / "docs").rglob("*.md"), *ROOT.glob("*.md"))
        for target in re.findall(r"\]\(([^)#\s]+)", page.read_text())
        if "://" not in target and not (page.parent / target).exists()
    ]
    assert broken == []
