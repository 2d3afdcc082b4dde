"""Readers of the environment."""

import pytest

from coop.setup.variables import WrongSetting, count, flag, names, site_address, text


@pytest.fixture(autouse=True)
def unset(monkeypatch):
    monkeypatch.delenv("A_SETTING", raising=False)


@pytest.mark.parametrize("value", ["", "  "])
def test_an_empty_variable_is_not_set(monkeypatch, value):
    monkeypatch.setenv("A_SETTING", value)
    assert text("A_SETTING", "default") == "default"
    assert flag("A_SETTING", default=True)
    assert count("A_SETTING", 3) == 3


@pytest.mark.parametrize(("value", "meant"), [("on", True), ("True", True), ("0", False)])
def test_a_flag_is_on_or_off(monkeypatch, value, meant):
    monkeypatch.setenv("A_SETTING", value)
    assert flag("A_SETTING", default=not meant) is meant


def test_a_slip_of_the_keyboard_is_refused(monkeypatch):
    monkeypatch.setenv("A_SETTING", "ture")
    with pytest.raises(WrongSetting, match="A_SETTING is 'ture': set it to on or off"):
        flag("A_SETTING", default=True)


@pytest.mark.parametrize("value", ["-1", "one", "1.5"])
def test_a_count_is_a_whole_number(monkeypatch, value):
    monkeypatch.setenv("A_SETTING", value)
    with pytest.raises(WrongSetting, match="whole number"):
        count("A_SETTING")


def test_names_stand_between_commas():
    assert names("A_SETTING", "a.example, b.example,") == ["a.example", "b.example"]


@pytest.mark.parametrize(
    ("hosts", "https", "address"),
    [
        (["larders.example", "localhost"], True, "https://larders.example"),
        ([".larders.example"], True, "https://larders.example"),
        (["[::1]"], False, "http://[::1]"),
        ([], False, "http://localhost"),
    ],
)
def test_where_no_address_is_set_the_first_name_of_the_site_is_taken(hosts, https, address):
    assert site_address("A_SETTING", https=https, hosts=hosts) == address


def test_an_address_is_kept_without_a_slash_at_its_end(monkeypatch):
    monkeypatch.setenv("A_SETTING", "http://127.0.0.1:8080/")
    assert site_address("A_SETTING", https=True, hosts=[]) == "http://127.0.0.1:8080"


@pytest.mark.parametrize(
    "value",
    [
        "larders.example",
        "ftp://larders.example",
        "https://",
        "https://larders.example/here",
        "https://larders.example:port",
        "https://larders example",
        "https://läders.example",
    ],
)
def test_an_address_that_no_link_could_begin_with_is_refused(monkeypatch, value):
    monkeypatch.setenv("A_SETTING", value)
    with pytest.raises(WrongSetting, match=r"A_SETTING is .* write https://"):
        site_address("A_SETTING", https=True, hosts=[])
