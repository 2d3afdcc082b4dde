"""A refusal that no view has answered gets a page with its sentence, and changes nothing."""

import pytest
from django import forms
from django.http import HttpRequest
from django.test import RequestFactory

from coop.people.errors import NameTaken, NotAllowed, Refused, StillOpen, TooLate, TooMany
from coop.web.refusals import RefusalMiddleware, saved


def refused(error, **headers):
    request = RequestFactory().post("/x/", headers=headers)
    return RefusalMiddleware(lambda request: None).process_exception(request, error)


@pytest.mark.parametrize(
    ("error", "status"),
    (
        (NotAllowed("Only a coordinator does this."), 403),
        (TooLate("Somebody was first."), 409),
        (Refused("That does not add up."), 409),
        (TooMany("Wait a little."), 429),
        (StillOpen(["It owes money.", "It has corn to fetch."]), 409),
    ),
)
def test_each_refusal_has_its_status_and_says_its_sentence(error, status):
    response = refused(error)
    assert response.status_code == status
    for sentence in getattr(error, "reasons", [str(error)]):
        assert sentence in response.content.decode()


def test_the_page_leads_back_to_where_the_act_was_asked_from():
    page = refused(TooLate("Gone."), referer="http://testserver/cottonwood/buys/7/")
    assert 'href="http://testserver/cottonwood/buys/7/"' in page.content.decode()


def test_it_leads_to_no_other_site():
    page = refused(TooLate("Gone."), referer="https://elsewhere.test/trap/").content.decode()
    assert "elsewhere" not in page


def test_htmx_is_told_the_sentence_for_the_status_region():
    response = refused(TooLate("Somebody was first."), hx_request="true")
    assert "Somebody was first." in response.headers["HX-Trigger"]


def test_markup_in_a_sentence_stays_text():
    assert "<b>" not in refused(TooLate("<b>Moss</b> was first.")).content.decode()


def test_any_other_error_goes_on():
    assert (
        RefusalMiddleware(lambda request: None).process_exception(
            HttpRequest(), ValueError("a fault of ours")
        )
        is None
    )


class NameForm(forms.Form):
    name = forms.CharField()


def failing(error):
    def act():
        raise error

    return act


def test_a_refusal_stands_at_the_field_that_it_names():
    form = NameForm({"name": "Moss"})
    assert not saved(form, failing(NameTaken("Taken.", field="name")))
    assert form.errors == {"name": ["Taken."]}


def test_a_refusal_of_a_field_that_is_not_there_stands_above_the_form():
    form = NameForm({"name": "Moss"})
    assert not saved(form, failing(Refused("No.", field="phone")))
    assert form.non_field_errors() == ["No."]


@pytest.mark.parametrize("error", (NotAllowed("No."), TooLate("Gone.")))
def test_what_no_other_words_would_help_passes_through(error):
    with pytest.raises(type(error)):
        saved(NameForm({"name": "Moss"}), failing(error))


def test_an_invalid_form_is_never_acted_on():
    assert not saved(NameForm({"name": ""}), failing(AssertionError("acted")))
