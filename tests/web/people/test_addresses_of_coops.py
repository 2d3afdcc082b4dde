"""No co-op takes an address that is the site's own."""

from django.urls import get_resolver

from coop.people.slugs import RESERVED


def first_words(patterns):
    """What the addresses outside of a co-op begin with."""
    routes = (str(pattern.pattern).removeprefix("^") for pattern in patterns)
    nested = [
        route
        for pattern in patterns
        if not str(pattern.pattern)
        for route in first_words(getattr(pattern, "url_patterns", []))
    ]
    return {*(route.split("/")[0] for route in routes if route), *nested} - {"<slug:coop>"}


def test_every_first_word_of_the_sites_own_addresses_is_reserved():
    words = first_words(get_resolver().url_patterns)
    assert {"account", "join", "me", "start"} <= words
    assert words <= RESERVED


def test_the_folder_of_static_files_is_reserved(settings):
    assert settings.STATIC_URL.strip("/") in RESERVED
