"""Each checker refuses a file that breaks its rule: a copy of the project, and one bad file."""

import shutil

import pytest

from tests.checkers import CHECKERS, ROOT, run


@pytest.fixture(scope="module")
def copy(tmp_path_factory):
    """The project without its tests: small enough to copy, whole enough to check."""
    folder = tmp_path_factory.mktemp("copy")
    for name in ("coop", "templates"):
        ignored = shutil.ignore_patterns("__pycache__")
        shutil.copytree(ROOT / name, folder / name, ignore=ignored)
    for name in ("pyproject.toml", "manage.py"):
        shutil.copy(ROOT / name, folder)
    return folder


@pytest.fixture
def said(copy):
    """Put one bad file into the copy, and return the lines in which the checker names it."""
    written = []

    def lines(checker: str, name: str, text: str) -> str:
        path = copy / name
        written.append(path)
        path.write_text(text, encoding="utf-8")
        done = run(CHECKERS[checker], folder=copy)
        assert done.returncode != 0
        mark = name.removesuffix(".py").replace("/", ".")
        about = [line for line in done.stdout.splitlines() if name in line or mark in line]
        return "\n".join(about)

    yield lines
    for path in written:
        path.unlink()


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("coop/core/bad.py", "import django\n"),
        ("coop/core/bad.py", "import random\n"),
        ("coop/core/bad.py", "from coop.people import models\n"),
        ("coop/people/bad.py", "from coop.money import models\n"),
        ("coop/money/bad.py", "from coop.buying import models\n"),
        ("coop/buying/bad.py", "from coop.web import pages\n"),
        ("coop/buying/bad.py", "from coop.buying import views\n"),
        ("coop/people/bad.py", "from coop.people import urls\n"),
        ("coop/setup/bad.py", "import celery\n"),
    ],
)
def test_an_import_upwards_is_refused(said, name, text):
    assert "->" in said("every import goes downwards", name, text)


@pytest.mark.parametrize(
    ("rule", "text"),
    [
        ("unused-import", "import os\n"),
        ("missing-return-type", "def untold(total: int):\n    return total\n"),
        ("too-many-positional", "def f(a: int, b: int, c: int, d: int, e: int) -> None: ...\n"),
        ("boolean-positional", "print(sorted([], True))\n"),
        ("suspicious-eval", "eval('1')\n"),
        ("blind-except", "try:\n    pass\nexcept Exception:\n    pass\n"),
        ("line-contains-todo", "# TODO: later\n"),
        ("undocumented-public", "def untold() -> None: ...\n"),
        ("hardcoded-sql-expression", "QUERY = f'SELECT id FROM t WHERE x = {__name__}'\n"),
    ],
)
def test_ruff_refuses(said, rule, text):
    assert rule in said("ruff finds nothing to mend", "coop/core/bad.py", text)


def test_a_file_out_of_format_is_refused(said):
    assert "bad.py" in said("every file is formatted", "coop/core/bad.py", "x  =  1\n")


WRONG_TYPES = {
    "coop/core/bad_answer.py": "def half(total: int) -> int:\n    return str(total)\n",
    "coop/core/bad_silence.py": "def half(total):\n    return total\n",
    "coop/web/bad_field.py": ("from coop.people.models import User\nUser.objects.get(nose=1)\n"),
}


def test_wrong_types_are_refused(copy):
    # All in one run, which takes as long as a run for any one of them.
    for name, text in WRONG_TYPES.items():
        (copy / name).write_text(text, encoding="utf-8")
    done = run(CHECKERS["every type is right"], folder=copy)
    for name in WRONG_TYPES:
        (copy / name).unlink()
    assert done.returncode != 0
    assert [name for name in WRONG_TYPES if name not in done.stdout] == []


def test_an_unsound_template_is_refused(said):
    text = "<div><span></div>\n"
    assert "bad.html" in said("every template is sound", "templates/bad.html", text)
