"""Every answer carries the policies; templates hold nothing that they forbid."""

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.test import RequestFactory

from coop.web.middleware import client_address

TEMPLATES = Path(settings.BASE_DIR) / "templates"
#: Letters are no pages of the site, and mail programs read styles in their lines alone.
LETTERS = TEMPLATES / "notices" / "letters"
FORBIDDEN = {
    "an inline style": r"<style|\sstyle=",
    "an inline handler": r"\son[a-z]+=|\shx-on",
    "an inline script": r"<script(?![^>]*\ssrc=)",
    "an address elsewhere": r"(?:src|href)=[\"'](?:https?:)?//",
    "a mark of safety": r"\|safe\b|autoescape off",
}


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["/account/login/", "/account/signup/", "/no/such/page/"])
def test_every_answer_carries_the_policies(client, address):
    answer = client.get(address)
    assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
    assert "unsafe" not in answer.headers["Content-Security-Policy"]
    assert answer.headers["Referrer-Policy"] == "same-origin"
    assert "camera=()" in answer.headers["Permissions-Policy"]


def test_templates_hold_nothing_that_the_policy_forbids():
    files = list(TEMPLATES.rglob("*.html"))
    found = [
        f"{file.name}: {what}"
        for file in files
        for what, pattern in FORBIDDEN.items()
        if re.search(pattern, file.read_text(encoding="utf-8"))
        and not (what == "an inline style" and file.is_relative_to(LETTERS))
    ]
    assert found == []
    assert len(files) > 40


@pytest.mark.django_db
def test_htmx_is_told_to_evaluate_nothing_and_to_keep_no_page(client):
    page = client.get("/account/login/").content.decode()
    assert '"allowEval": false' in page
    assert '"includeIndicatorStyles": false' in page
    assert '"historyCacheSize": 0' in page


@pytest.mark.parametrize(
    ("hops", "forwarded", "address"),
    [
        (0, "203.0.113.9", "198.51.100.1"),  # nobody of ours wrote it
        (1, "203.0.113.9", "203.0.113.9"),
        (1, "192.0.2.66, 203.0.113.9", "203.0.113.9"),  # the first part is the client's own
        (2, "203.0.113.9, 198.51.100.7", "203.0.113.9"),
        (2, "203.0.113.9", "198.51.100.1"),  # fewer than ours would have written
        (1, "not an address", "198.51.100.1"),
        (1, "2001:db8::1", "2001:db8::1"),
    ],
)
def test_the_clients_address_is_only_taken_from_proxies_of_ours(hops, forwarded, address):
    # Addresses: RFC 5737 and RFC 3849, kept for examples.
    request = RequestFactory().get("/", REMOTE_ADDR="198.51.100.1", HTTP_X_FORWARDED_FOR=forwarded)
    assert client_address(request, hops=hops) == address


@pytest.mark.django_db
def test_the_address_is_settled_before_any_view(client):
    assert client.get("/account/login/").wsgi_request.client_address == "127.0.0.1"


@pytest.mark.django_db
def test_a_form_without_its_mark_is_refused_in_our_words(client):
    from django.test import Client

    answer = Client(enforce_csrf_checks=True).post("/account/login/", {"login": "a@b.example"})
    assert answer.status_code == 403
    assert "The form was too old" in answer.content.decode()
