"""Django's system checks of our own: each finds what it is for, and lets the rest be."""

import pytest
from django.core.checks import run_checks

from coop.web import checks

HERE, OUT_THERE = ["localhost", "127.0.0.1"], ["larders.example"]
FILE_MAIL = "django.core.mail.backends.filebased.EmailBackend"
SMTP_MAIL = "django.core.mail.backends.smtp.EmailBackend"
POSTGRES = {"default": {"ENGINE": "django.db.backends.postgresql"}}
SQLITE = {"default": {"ENGINE": "django.db.backends.sqlite3"}}


def ids(check) -> list[str | None]:
    return [message.id for message in check(None)]


@pytest.mark.parametrize(
    ("hosts", "found"), [(["*"], ["larders.E001"]), (["*.example"], ["larders.E001"]), (HERE, [])]
)
def test_a_wildcard_host_is_refused(settings, hosts, found):
    settings.ALLOWED_HOSTS = hosts
    assert ids(checks.hosts_are_named) == found


@pytest.mark.parametrize(
    ("hosts", "https", "found"),
    [(OUT_THERE, False, ["larders.W002"]), (OUT_THERE, True, []), (HERE, False, [])],
)
def test_plain_http_is_for_this_machine_alone(settings, hosts, https, found):
    settings.ALLOWED_HOSTS, settings.HTTPS = hosts, https
    assert ids(checks.others_come_by_https) == found


@pytest.mark.parametrize(
    ("databases", "redis", "found"),
    [(POSTGRES, "", ["larders.W003"]), (POSTGRES, "redis://here", []), (SQLITE, "", [])],
)
@pytest.mark.filterwarnings("ignore:Overriding setting DATABASES")
def test_several_machines_need_redis(settings, databases, redis, found):
    settings.DATABASES, settings.REDIS_URL = databases, redis
    assert ids(checks.workers_share_a_broker) == found


@pytest.mark.parametrize(
    ("hosts", "mail", "found"),
    [(OUT_THERE, FILE_MAIL, ["larders.W004"]), (OUT_THERE, SMTP_MAIL, []), (HERE, FILE_MAIL, [])],
)
def test_a_public_site_needs_a_mail_server(settings, hosts, mail, found):
    settings.ALLOWED_HOSTS, settings.EMAIL_BACKEND = hosts, mail
    assert ids(checks.mail_reaches_people) == found


@pytest.mark.parametrize(
    ("hosts", "https", "site", "found"),
    [
        (OUT_THERE, True, "https://larders.example", []),
        (HERE, False, "http://127.0.0.1:8000", []),
        (OUT_THERE, True, "https://other.example", ["larders.W005"]),
        ([*HERE, *OUT_THERE], True, "https://localhost", ["larders.W005"]),
        (OUT_THERE, True, "http://larders.example", ["larders.W005"]),  # a detour to https
    ],
)
def test_links_in_letters_lead_to_the_site(settings, hosts, https, site, found):
    settings.ALLOWED_HOSTS, settings.HTTPS, settings.SITE_ADDRESS = hosts, https, site
    assert ids(checks.letters_lead_here) == found


def test_the_checks_are_asked_with_django_s_own(settings):
    settings.ALLOWED_HOSTS = ["*"]
    assert "larders.E001" in {message.id for message in run_checks()}
