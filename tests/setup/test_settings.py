"""Settings as the environment makes them: each case is a Python of its own."""

import os
import subprocess
import sys

import pytest

from coop.setup.environment import ROOT

SERVER = {"DATABASE_URL": "postgres://larders@db.example/larders"}
SECRET = {"SECRET_KEY": "long, random and kept by the one who runs it: " + "0123456789abcdef"}


@pytest.fixture
def outcome(tmp_path):
    """Run a Python with only these settings; what it prints, or the last line it complains."""
    kept = {name: os.environ[name] for name in ("PATH", "SYSTEMROOT") if name in os.environ}

    def run(*arguments: str, **variables: str) -> str:
        done = subprocess.run(
            [sys.executable, *arguments],
            cwd=ROOT,
            env={**kept, "DATA_FOLDER": str(tmp_path / "data"), **variables},
            capture_output=True,
            text=True,
            check=False,
        )
        return done.stdout.strip() or done.stderr.strip().splitlines()[-1]

    return run


@pytest.fixture
def setting(outcome):
    """What one setting, or an expression of settings, comes to."""

    def value(name: str, **variables: str) -> str:
        return outcome("-c", f"from coop import settings; print(settings.{name})", **variables)

    return value


def test_a_server_database_without_a_secret_stops_with_a_sentence(outcome):
    said = outcome("manage.py", "check", **SERVER)
    assert said.startswith("DATABASE_URL is set and SECRET_KEY is not")


def test_the_embedded_default_keeps_its_own_secret(setting):
    assert setting("SECRET_KEY") == setting("SECRET_KEY") != ""


def test_debug_is_off_unless_asked_for(setting):
    assert setting("DEBUG") == "False"
    assert setting("DEBUG", DEBUG="on") == "True"


@pytest.mark.parametrize(
    "name", ["SESSION_COOKIE_SECURE", "CSRF_COOKIE_SECURE", "SECURE_SSL_REDIRECT"]
)
def test_cookies_and_pages_go_by_https_alone(setting, name):
    assert setting(name) == "True"


def test_only_this_machine_is_answered(setting):
    assert setting("ALLOWED_HOSTS") == "['localhost', '127.0.0.1', '[::1]']"


def test_two_variables_choose_postgresql_and_redis(setting):
    names = "DATABASES['default']['ENGINE'], settings.CELERY_BROKER_URL"
    said = setting(names, **SERVER, **SECRET, REDIS_URL="redis://queue.example/0")
    assert said == "django.db.backends.postgresql redis://queue.example/0"


def test_sqlite_waits_for_its_turn_and_writes_ahead(setting):
    options = setting("DATABASES['default']['OPTIONS']")
    assert "IMMEDIATE" in options
    assert "journal_mode=WAL" in options


def test_mail_is_kept_in_the_data_folder_until_a_server_is_named(setting):
    assert "filebased" in setting("EMAIL_BACKEND")
    assert "smtp" in setting("EMAIL_BACKEND", EMAIL_URL="smtp+tls://u:p@mail.example:587")


def test_what_django_asks_of_a_deployment_is_met(outcome):
    said = outcome("manage.py", "check", "--deploy", "--fail-level=WARNING", **SECRET)
    assert said.startswith("System check identified no issues")
