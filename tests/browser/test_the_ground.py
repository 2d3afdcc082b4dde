"""What the browser tests stand on."""

import pytest

# What a browser shows does not hang on the database; the whole buy runs on PostgreSQL.
pytestmark = pytest.mark.sqlite

NARROW = 360
OVERFLOW = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


def test_a_page_opens_and_its_style_and_script_are_let_in(page):
    page.goto("/account/login/")
    assert page.locator("h1").count() == 1
    assert page.evaluate("document.styleSheets.length") > 0


def test_the_sign_in_page_fits_a_phone(new_page):
    page = new_page(width=NARROW)
    page.goto("/account/login/")
    assert page.evaluate(OVERFLOW) == 0


def test_two_people_have_cookies_of_their_own(new_page):
    one, other = new_page(), new_page()
    one.goto("/account/login/")
    assert one.context.cookies()
    assert not other.context.cookies()


def test_the_browser_reaches_no_other_machine(page):
    with pytest.raises(Exception, match="ERR_NAME_NOT_RESOLVED"):
        page.goto("http://elsewhere.example/")
