"""Every checker, one test each, so that one run checks everything."""

import pytest
from django.core.management import call_command

from tests.checkers import CHECKERS, run


@pytest.mark.parametrize("checker", CHECKERS.values(), ids=CHECKERS)
def test_checker_is_content(checker):
    done = run(checker)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.django_db
def test_models_and_migrations_agree():
    call_command("makemigrations", check=True, dry_run=True, verbosity=1)


def test_django_finds_nothing_to_mend(settings):
    settings.ALLOWED_HOSTS = ["localhost"]  # the tests' own host name is no host of the site
    call_command("check", fail_level="WARNING")
