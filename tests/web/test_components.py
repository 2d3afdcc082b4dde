"""What pages are made of: contrast, fields tied to their words, places, error pages."""

import re
from pathlib import Path
from types import SimpleNamespace

import pytest
from bs4 import BeautifulSoup
from django import forms
from django.conf import settings
from django.contrib.staticfiles import finders
from django.http import HttpResponse
from django.template import engines
from django.template.loader import render_to_string
from django.test import RequestFactory
from django.urls import include, path

from coop.web import context, pages
from coop.web.middleware import ContentPolicyMiddleware

TEMPLATES = Path(settings.BASE_DIR) / "templates"
ENOUGH = 4.5  # WCAG 2.2, 1.4.3: text of usual size
TEXT_ON = [
    ("ink", "ground"), ("ink", "card"), ("muted", "ground"), ("muted", "card"),
    ("cobalt", "ground"), ("cobalt", "card"), ("on-cobalt", "cobalt"),
    ("tomato", "card"), ("tomato", "ground"), ("on-tomato", "tomato"),
    ("on-tomato", "tomato-pressed"), ("leaf", "card"), ("mustard", "card"),
    *[(tone, f"{tone}-tint") for tone in ("cobalt", "tomato", "leaf", "mustard")],
    *[("ink", f"{tone}-tint") for tone in ("cobalt", "tomato", "leaf", "mustard")],
    *[("on-household", f"household-{number}") for number in (1, 2, 3, 5, 6, 7, 8)],
    ("on-household-4", "household-4"),
]  # fmt: skip


def tokens(mode):
    sheet = Path(finders.find("web/tokens.css")).read_text(encoding="utf-8")
    pair = re.compile(r"--([\w-]+):\s*(#[0-9a-f]{6});")
    dark = re.search(r"@media \(prefers-color-scheme: dark\) \{(.+?)\n\}", sheet, re.DOTALL)
    light = dict(pair.findall(sheet.replace(dark[0], "")))
    return light | dict(pair.findall(dark[0])) if mode == "dark" else light


def luminance(colour):
    # Source: WCAG 2.2, definition of relative luminance.
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    ]
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one, other):
    # Source: WCAG 2.2, definition of contrast ratio.
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_contrast_of_black_on_white_is_twenty_one():
    # Source: WCAG 2.2: ratios range from 1 to 21.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("mode", ["light", "dark"])
@pytest.mark.parametrize(("text", "ground"), TEXT_ON)
def test_text_stands_out_from_its_ground(mode, text, ground):
    colours = tokens(mode)
    assert contrast(colours[text], colours[ground]) >= ENOUGH


class AskForm(forms.Form):
    wanted = forms.IntegerField(label="How much?", help_text="One bushel is about 35 lb.")
    whole = forms.BooleanField(label="Whole containers only", help_text="Never a part.")
    basis = forms.ChoiceField(
        label="How is fuel shared?", widget=forms.RadioSelect, choices=[("a", "Equally")]
    )


def drawn(component, **variables):
    return BeautifulSoup(render_to_string(f"components/{component}.html", variables), "html.parser")


@pytest.mark.parametrize(("name", "component"), [("wanted", "field"), ("wanted", "stepper")])
def test_an_input_is_tied_to_its_label_unit_help_and_error(name, component):
    soup = drawn(component, field=AskForm({})[name], unit="lb")
    box = soup.find("input")
    tied = [soup.find(id=key) for key in box["aria-describedby"].split()]
    assert [part.get_text(strip=True) for part in tied] == [
        "lb", "One bushel is about 35 lb.", "This field is required.",
    ]  # fmt: skip
    assert soup.find("label", attrs={"for": box["id"]}).get_text(strip=True) == "How much?"
    assert box["aria-invalid"] == "true"


def test_a_field_in_order_says_nothing_of_errors():
    soup = drawn("field", field=AskForm({"wanted": "35"})["wanted"])
    assert "aria-invalid" not in soup.find("input").attrs
    assert soup.find("input")["value"] == "35"
    assert soup.find(id="id_wanted_error") is None


def test_a_group_of_choices_carries_its_words_as_a_group():
    soup = drawn("field", field=AskForm({})["basis"])
    group = soup.find("fieldset")
    assert group.find("legend").get_text(strip=True) == "How is fuel shared?"
    assert soup.find(id=group["aria-describedby"].strip()) is not None
    assert group.find("input", type="radio")["id"] == group.find("label")["for"]


def test_the_list_of_errors_leads_to_each_field():
    form = AskForm({"wanted": "35"})
    form.is_valid()
    form.add_error(None, "At least 50 lb is above the 35 lb wanted.")
    soup = drawn("form_errors", form=form)
    page = "".join(render_to_string("components/field.html", {"field": field}) for field in form)
    ids = {tag["id"] for tag in BeautifulSoup(page, "html.parser").find_all(id=True)}
    links = [link["href"].removeprefix("#") for link in soup.find_all("a")]
    assert set(links) <= ids
    assert len(links) == 2
    assert "At least 50 lb is above" in soup.get_text()


def test_a_form_in_order_has_no_list_of_errors():
    assert drawn("form_errors", form=AskForm()).get_text(strip=True) == ""


def test_the_steps_of_a_stepper_wait_for_script():
    buttons = drawn("stepper", field=AskForm()["wanted"]).find_all("button")
    assert [button.has_attr("hidden") for button in buttons] == [True, True]
    assert [button["aria-label"] for button in buttons] == ["Less: How much?", "More: How much?"]


@pytest.mark.parametrize("tone", ["info", "soon", "done", "warn", "success", "warning", "error"])
def test_a_notice_escapes_its_words(tone):
    soup = drawn("notice", tone=tone, strong="Short.", text="<i>32 lb</i>")
    assert soup.find("i") is None
    assert "<i>32 lb</i>" in soup.get_text()


def test_every_component_opens_with_its_variables():
    files = sorted((TEMPLATES / "components").glob("*.html"))
    silent = [
        file.name
        for file in files
        if not re.match(r"(\{% load [\w ]+ %\})?\{# .+ #\}", file.read_text(encoding="utf-8"))
    ]
    assert silent == []
    assert len(files) > 20


def test_no_template_is_longer_than_two_hundred_lines():
    files = list(TEMPLATES.rglob("*.html"))
    long = [file.name for file in files if len(file.read_text("utf-8").splitlines()) > 200]
    assert long == []
    assert len(files) > 40


def test_every_icon_that_a_template_names_is_drawn():
    sheet = Path(finders.find("web/icons.svg")).read_text(encoding="utf-8")
    drawn_icons = set(re.findall(r'<symbol id="([\w-]+)"', sheet))
    text = "".join(file.read_text(encoding="utf-8") for file in TEMPLATES.rglob("*.html"))
    named = set(re.findall(r'\{% icon "([\w-]+)"', text))
    named |= {place.icon for place in context.PLACES}
    assert named <= drawn_icons
    assert len(named) > 10


# ---- places and the frame -------------------------------------------------------------------
COOP = SimpleNamespace(
    pk=1, slug="quarry-hill", name="Quarry Hill", time_zone="America/Denver", currency="USD"
)
MEMBER = SimpleNamespace(name="Ada", household=SimpleNamespace(name="Osgood"))


def answer(request, *args, **kwargs):
    return HttpResponse()


def part(namespace, *names):
    addresses = [path(f"<slug:coop>/{namespace}/{name}/", answer, name=name) for name in names]
    return path("", include((addresses, namespace)))


urlpatterns = [
    path("account/", include("allauth.account.urls")),
    part("people", "week", "households", "settings"),
    part("buying", "buys", "buy"),
    part("money", "money"),
]
here_urls = pytest.mark.urls(__name__)


@here_urls
@pytest.mark.parametrize(
    ("page", "place"),
    [
        ("people:week", "This week"),
        ("people:household", "Households"),
        ("buying:buy", "Buys"),
        ("money:money", "Money"),
        ("account_login", None),
    ],
)
def test_a_page_lights_up_the_place_that_it_belongs_to(page, place):
    lit = [link.place.words for link in context.links("quarry-hill", page) if link.is_current]
    assert lit == ([place] if place else [])


def request_in_coop(**extra):
    request = RequestFactory().get("/")
    request.resolver_match = None
    request.user = SimpleNamespace(pk=None, is_authenticated=True)
    request._messages = []  # as the messages middleware leaves it
    for name, value in extra.items():
        setattr(request, name, value)
    return request


def test_outside_a_coop_there_are_no_places():
    assert context.here(request_in_coop())["places"] == []
    assert context.here(request_in_coop(coop=COOP))["places"] == []


@here_urls
@pytest.mark.django_db
def test_the_frame_has_one_heading_a_skip_link_first_and_a_status_region():
    request = request_in_coop(coop=COOP, member=MEMBER)
    source = '{% extends "base.html" %}{% block heading %}Buys{% endblock %}'
    page = engines["django"].from_string(source).render({"unread": 100}, request)
    soup = BeautifulSoup(page, "html.parser")
    assert [heading.get_text() for heading in soup.find_all("h1")] == ["Buys"]
    assert soup.body.find("a")["href"] == "#main"
    assert soup.find(id="main").name == "main"
    assert soup.find(id="status")["role"] == "status"
    assert [link.get_text(strip=True) for link in soup.select(".place")] == [
        "This week99+, 100 notices to read", "Buys", "Money", "Households",
    ]  # fmt: skip


@pytest.mark.parametrize("name", ["400", "403", "403_csrf", "404", "405", "500"])
def test_an_error_page_needs_no_context_and_shows_one_way_on(name):
    soup = BeautifulSoup(render_to_string(f"{name}.html"), "html.parser")
    assert len(soup.select("main a")) == 1
    assert len(soup.select("main .plate > p:first-child")[0].get_text(strip=True)) > 20


def test_a_refusal_says_its_sentence():
    page = render_to_string("403.html", {"exception": "Only the coordinator divides a buy."})
    assert "Only the coordinator divides a buy." in page


def test_a_missing_page_does_not_say_what_was_looked_for():
    page = render_to_string("404.html", {"exception": "No Buy matches", "request_path": "/x/"})
    assert "No Buy matches" not in page
    assert "/x/" not in page


def test_a_page_that_only_takes_forms_says_so():
    def view(request):
        return HttpResponse(status=405, headers={"Allow": "POST"})

    got = ContentPolicyMiddleware(view)(request_in_coop())
    assert (got.status_code, got.headers["Allow"]) == (405, "POST")
    assert "waits for a button" in got.content.decode()


# ---- helpers of views -----------------------------------------------------------------------
def test_a_refused_form_is_answered_with_422():
    assert pages.refused(request_in_coop(), "400.html", {}).status_code == 422


@pytest.mark.parametrize(
    ("headers", "is_part"),
    [
        ({}, False),
        ({"HX-Request": "true"}, True),
        ({"HX-Request": "true", "HX-Boosted": "true"}, False),
        ({"HX-Request": "true", "HX-History-Restore-Request": "true"}, False),
    ],
)
def test_a_part_is_sent_only_where_a_part_is_wanted(headers, is_part):
    request = request_in_coop()
    request.META |= {
        f"HTTP_{key.upper().replace('-', '_')}": value for key, value in headers.items()
    }
    got = pages.page_or_part(request, "404.html", "components/print_button.html", {})
    assert ("<html" not in got.content.decode()) == is_part
    assert "HX-Request" in got.headers["Vary"]


def test_a_line_for_the_status_region_goes_with_the_answer():
    assert pages.say(HttpResponse(), "Fetched").headers["HX-Trigger"] == '{"status": "Fetched"}'
