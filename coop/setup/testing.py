"""`manage.py test`: the whole suite, on every database that this machine has."""

import json
import os
import subprocess
import tempfile
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path

from coop.setup.environment import ROOT, TEST, Environment, Stopped

POSTGRES_URL = "postgres://postgres@127.0.0.1:5432/postgres"
SIGN_IN = "import sys, psycopg; psycopg.connect(sys.argv[1], connect_timeout=3).close()"
POSTGRES_FOLLOWS = "POSTGRES_FOLLOWS"
NO_POSTGRES = "Left out, no PostgreSQL: nothing lets us in at {url} (TEST_DATABASE_URL)"


def test(arguments: Sequence[str]) -> int:
    """Run pytest with `arguments`; without any, run all of it on each database."""
    environment = Environment()
    environment.ready(TEST)
    variables = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1"}
    if "--require-all" in arguments:
        variables["REQUIRE_ALL"] = "1"
    asked = [argument for argument in arguments if argument != "--require-all"]
    python = str(environment.python)
    if asked:
        return _pytest(python, [*_side_by_side(asked), *asked], variables)
    return _everything(python, variables)


def _side_by_side(asked: Sequence[str]) -> list[str]:
    """Use every core, except where one file is asked for or the caller decides."""
    decides = any(argument.startswith(("-n", "--numprocesses", "--pdb")) for argument in asked)
    one_file = any(argument.partition("::")[0].endswith(".py") for argument in asked)
    return [] if decides or one_file else ["-n", "auto", "--dist", "worksteal"]


def _everything(python: str, variables: Mapping[str, str]) -> int:
    url = variables.get("TEST_DATABASE_URL", POSTGRES_URL)
    has_postgres = _lets_us_in(python, url)
    if not has_postgres and variables.get("REQUIRE_ALL", "") not in {"", "0"}:
        raise Stopped(NO_POSTGRES.format(url=url))
    ours = {"DATABASE_URL", POSTGRES_FOLLOWS}
    on_sqlite = {name: value for name, value in variables.items() if name not in ours}
    runs = {"SQLite": on_sqlite}
    if has_postgres:
        # What one database is enough for is left to PostgreSQL: see tests/conftest.py.
        runs["SQLite"] = {**on_sqlite, POSTGRES_FOLLOWS: "1"}
        runs["PostgreSQL"] = {**on_sqlite, "DATABASE_URL": url}
    counted: Counter[str] = Counter()
    codes = []
    for name, its_variables in runs.items():
        print(f"\n==== On {name} ====", flush=True)
        code, counts = _counted(python, its_variables)
        codes.append(code)
        counted.update(counts)
    if not has_postgres:
        print(NO_POSTGRES.format(url=url))
    print(_closing(counted), flush=True)
    return max(codes)


def _lets_us_in(python: str, url: str) -> bool:
    command = [python, "-c", SIGN_IN, url]
    return subprocess.run(command, capture_output=True, check=False).returncode == 0


def _counted(python: str, variables: Mapping[str, str]) -> tuple[int, dict[str, int]]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "counts.json"
        code = _pytest(python, _side_by_side([]), {**variables, "COUNTS_FILE": str(path)})
        return code, json.loads(path.read_text(encoding="utf-8")) if path.exists() else {}


def _pytest(python: str, arguments: Sequence[str], variables: Mapping[str, str]) -> int:
    command = [python, "-m", "pytest", *arguments]
    return subprocess.run(command, cwd=ROOT, env=dict(variables), check=False).returncode


def _closing(counted: Mapping[str, int]) -> str:
    return ", ".join(f"{counted.get(word, 0)} {word}" for word in ("passed", "failed", "skipped"))
