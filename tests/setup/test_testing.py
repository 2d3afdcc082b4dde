"""`manage.py test` without arguments: two runs, one sum, and nothing left out unsaid."""

import pytest
from _pytest.outcomes import Failed, Skipped

from coop.setup import testing
from coop.setup.environment import Stopped
from tests import at_hand, conftest

RESULTS = {
    "SQLite": (0, {"passed": 7, "skipped": 1}),
    "PostgreSQL": (1, {"passed": 2, "failed": 1}),
}


@pytest.fixture
def runs(monkeypatch):
    """Pretends to run pytest; notes on which database each run was."""
    noted = []

    def counted(python, variables):
        noted.append("PostgreSQL" if "DATABASE_URL" in variables else "SQLite")
        return RESULTS[noted[-1]]

    monkeypatch.setattr(testing, "_counted", counted)
    return noted


def has_postgres(monkeypatch, answer):
    monkeypatch.setattr(testing, "_lets_us_in", lambda python, url: answer)


def test_both_databases_are_tried_and_added_up(runs, monkeypatch, capsys):
    has_postgres(monkeypatch, True)
    assert testing._everything("python", {"DATABASE_URL": "mine"}) == 1
    assert runs == ["SQLite", "PostgreSQL"]
    assert capsys.readouterr().out.splitlines()[-1] == "9 passed, 1 failed, 1 skipped"


@pytest.mark.parametrize("follows", [True, False])
def test_the_first_half_is_told_whether_another_follows(monkeypatch, follows):
    told = []

    def counted(python, variables):
        told.append(variables.get("POSTGRES_FOLLOWS"))
        return 0, {}

    monkeypatch.setattr(testing, "_counted", counted)
    has_postgres(monkeypatch, follows)
    testing._everything("python", {"POSTGRES_FOLLOWS": "of before"})
    assert told == (["1", None] if follows else [None])


def test_a_missing_database_is_named(runs, monkeypatch, capsys):
    has_postgres(monkeypatch, False)
    assert testing._everything("python", {}) == 0
    assert runs == ["SQLite"]
    assert "Left out, no PostgreSQL" in capsys.readouterr().out


def test_a_missing_database_stops_a_run_that_requires_all(runs, monkeypatch):
    has_postgres(monkeypatch, False)
    with pytest.raises(Stopped, match="no PostgreSQL"):
        testing._everything("python", {"REQUIRE_ALL": "1"})
    assert runs == []


@pytest.mark.parametrize(("required", "outcome"), [(True, Failed), (False, Skipped)])
def test_a_missing_service_is_left_out_unless_required(monkeypatch, required, outcome):
    monkeypatch.setattr(conftest, "REQUIRE_ALL", required)
    with pytest.raises(outcome, match="no Redis: it sleeps"):
        conftest.need(at_hand.Found("Redis", missing="it sleeps"))
