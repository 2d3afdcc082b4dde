"""Who has been told, how, and why not: for a buy or a thing, and for the whole co-op."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from coop.notices.actions.keeping import keep
from coop.notices.actions.refused import try_again
from coop.notices.models import Choice, Mail, Notice
from tests.web import buy_factories, equipment_factories, factories
from tests.web.at_once import at_once
from tests.web.factories import NOW
from tests.web.notice_factories import (
    NEWS,
    START,
    know_the_kinds,
    make_mail,
    make_matter,
    make_notice,
    say,
)
from tests.web.notices.postman import post
from tests.web.reading import main_of, sections_of, text_of

pytestmark = pytest.mark.django_db
SAID = "550 5.1.1 <ines@gmial.test>: Recipient address rejected: User unknown"


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()


@pytest.fixture
def buy(coordinator):
    return buy_factories.make_buy(coordinator=coordinator)


@pytest.fixture
def address(buy):
    return reverse("notices:about", args=[buy.coop.slug, "buy", buy.pk])


@pytest.fixture
def told(coop):
    return reverse("notices:told", args=[coop.slug])


def tell(buy, *households, **fields):
    """News of a buy to households, as an act would tell them."""
    says = [say(each, **{"at": NOW, "title": "Corn is called in"} | fields) for each in households]
    keep(buy.coop, f"buy:{buy.pk}", says)


def people_of(client, address):
    """The page of the latest matter with all its people."""
    group = client.get(address).context["groups"][0]
    return text_of(client.get(f"{address}?of={group.key}")).replace(" ;", ";")


def refuse(member, **fields):
    """A mail to a member that the mail server refused for good."""
    defaults = {"address": "ines@gmial.test", "trouble": SAID, "refused_at": NOW}
    return make_mail(member, **defaults | fields)


# ---- about a buy or a thing -----------------------------------------------------------------
def test_each_person_is_named_with_how_and_when_they_were_told(
    as_coordinator, address, buy, household, member, other_household_member
):
    Choice.objects.create(member=other_household_member, kind=NEWS.code, by_mail="never")
    tell(buy, household, other_household_member.household)
    post()
    Notice.objects.filter(member=other_household_member).update(read_at=NOW)
    page = people_of(as_coordinator, address)
    assert "Ines Castell mail went out today at 9:00; on the site, not read yet" in page
    assert "Luc Dufresne no mail; read on the site today at 9:00" in page
    assert "2 told" in page


def test_what_waits_says_until_when(as_coordinator, address, buy, household, member):
    start = NOW + timedelta(days=7)
    tell(buy, household, kind=START.code, at=start, title="It starts")
    page = people_of(as_coordinator, address)
    assert "1 to be told yet" in page
    assert "mail waits until Mon 17 Aug at 9:00" in page


def test_whom_something_could_not_be_told_stands_first_with_why(
    as_coordinator, address, buy, household, member
):
    tell(buy, household)
    Notice.objects.update(mail=refuse(member, notices=0))
    missed = sections_of(as_coordinator.get(address))["Could not be told"]
    assert "Ines Castell, Castell" in missed
    assert "mail was refused: there is no such address; today at 9:00" in missed
    assert "gmial" not in missed


def test_who_read_it_on_the_site_was_told_though_mail_failed(
    as_coordinator, address, buy, household, member
):
    tell(buy, household)
    Notice.objects.update(mail=refuse(member, notices=0), read_at=NOW)
    assert "Could not be told" not in sections_of(as_coordinator.get(address))


def test_a_household_with_nobody_on_the_site_could_not_be_told(as_coordinator, address, buy):
    tell(buy, factories.make_household(buy.coop, "Eklund", phone="555 0199"))
    missed = sections_of(as_coordinator.get(address))["Could not be told"]
    assert "Nobody of 1 household is on the site. Ring them: Eklund, 555 0199." in missed
    assert missed.removeprefix("Could not be told ") in people_of(as_coordinator, address)


def test_what_was_taken_back_is_said_to_be(as_coordinator, address, buy, household, member):
    tell(buy, household)
    tell(buy)
    page = people_of(as_coordinator, address)
    assert "1 not told, as it was no longer so" in page
    assert "Could not be told" not in page


def test_what_went_before_its_moment_is_marked_and_what_is_merely_over_is_not(
    as_coordinator, address, buy, household, member, other_household_member
):
    both = (household, other_household_member.household)
    tell(buy, *both, at=NOW - timedelta(hours=1), title="The corn came")
    post()
    tell(buy, household, kind=START.code, at=NOW + timedelta(hours=2), title="Pickup")
    post()
    keep(buy.coop, f"buy:{buy.pk}", [])
    page = text_of(as_coordinator.get(address))
    assert "Pickup no longer so" in page
    assert "The corn came Something happened 2 told." in page


def test_what_is_told_of_a_things_bookings_stands_on_the_page_of_the_thing(
    as_coordinator, coop, household, member
):
    booking = equipment_factories.make_booking(equipment_factories.make_thing(coop), household)
    other = equipment_factories.make_booking(equipment_factories.make_thing(coop), household)
    keep(coop, f"booking:{booking.pk}", [say(household, title="Bring it back")])
    keep(coop, f"booking:{other.pk}", [say(household, title="Another thing")])
    about = reverse("notices:about", args=[coop.slug, "thing", booking.thing_id])
    page = text_of(as_coordinator.get(about))
    assert "Bring it back" in page
    assert "Another thing" not in page


@pytest.mark.parametrize(
    ("who", "status"),
    [
        ("as_coordinator", 200),
        ("as_member", 403),
        ("as_treasurer", 403),
        ("as_outsider", 404),
        ("as_stranger", 404),
        ("signed_out", 302),
    ],
)
def test_who_may_write_to_them_sees_who_was_told(who, status, request, address):
    assert request.getfixturevalue(who).get(address).status_code == status


@pytest.mark.sqlite
def test_a_circle_that_is_none_is_404(as_coordinator, coop, buy):
    for circle in ("buys", "household", "writing"):
        address = reverse("notices:about", args=[coop.slug, circle, buy.pk])
        assert as_coordinator.get(address).status_code == 404


@pytest.mark.sqlite
def test_the_page_asks_as_much_for_ten_households_as_for_twenty(as_coordinator, address, buy):
    counts = []
    for many in (10, 20):
        homes = [factories.make_member(factories.make_household(buy.coop)) for _ in range(many)]
        tell(buy, *(each.household for each in homes))
        Notice.objects.filter(member=homes[0]).update(mail=refuse(homes[0], notices=0))
        with CaptureQueriesContext(connection) as queries:
            page = people_of(as_coordinator, address)
        assert f"{many - 1} to be told yet" in page
        counts.append(len(queries))
    assert counts[0] == counts[1]


# ---- whom mail does not reach ---------------------------------------------------------------
def test_the_coordinator_reads_what_the_mail_server_said_in_plain_words(
    as_coordinator, told, member
):
    refuse(member)
    page = sections_of(as_coordinator.get(told))["Mail does not reach them"]
    assert "Ines Castell, Castell has another address now" in page
    assert "There is no such address. Their address is at gmial.test." in page
    assert "550 5.1.1 the address: Recipient address rejected" in page
    assert "Something happened" in page


def test_the_address_itself_and_what_the_mail_said_are_shown_to_nobody(
    as_coordinator, told, member
):
    mail = refuse(member)
    page = as_coordinator.get(told).content.decode()
    assert "gmial.test" in page
    assert mail.address not in page
    assert mail.notices.get().matter.title not in page


def test_mail_that_waits_for_the_server_says_since_when(as_coordinator, told, member, coordinator):
    for person in (member, coordinator):
        make_mail(person, made_at=NOW - timedelta(minutes=58), attempts=6, trouble="No answer.")
    make_mail(member)
    page = text_of(as_coordinator.get(told))
    assert "2 letters have not been taken since today at 8:02." in page
    assert "Mail reaches everybody" not in page


def test_taking_note_takes_it_off_the_list_and_off_this_week(as_coordinator, told, coop, member):
    mail = refuse(member, address=member.user.email)
    week = reverse("people:week", args=[coop.slug])
    assert "Mail does not reach 1 person" in text_of(as_coordinator.get(week))
    address = reverse("notices:seen", args=[coop.slug, mail.pk])
    assert as_coordinator.post(address).url == told
    assert "Mail does not reach" not in text_of(as_coordinator.get(week))
    page = text_of(as_coordinator.get(told)).replace(" ,", ",")
    assert "1 person whom mail did not reach is noted: Ines Castell, since today at 9:00" in page
    assert "Mail reaches everybody" not in page
    first = Mail.objects.get().seen_at
    as_coordinator.post(address)
    assert Mail.objects.get().seen_at == first


NOTED = "whom mail did not reach"


@pytest.mark.parametrize("sent_to", ["", "old@example.test", "INES@example.test"])
def test_noted_somebody_stands_there_until_a_letter_to_the_same_address_was_taken(
    sent_to, as_coordinator, told, member
):
    member.user.email = "ines@example.test"
    member.user.save()
    refuse(member, address="ines@example.test", seen_at=NOW)
    if sent_to:
        make_mail(member, address=sent_to, sent_at=NOW + timedelta(hours=1))
    page = text_of(as_coordinator.get(told))
    is_taken = sent_to.lower() == "ines@example.test"
    assert (NOTED in page, "Mail reaches everybody." in page) == (not is_taken, is_taken)


def test_with_another_address_or_gone_nobody_is_unreached_any_more(
    as_coordinator, told, member, other_household_member
):
    refuse(member, seen_at=NOW)
    refuse(other_household_member, address=other_household_member.user.email, seen_at=NOW)
    assert "1 person" in text_of(as_coordinator.get(told))
    other_household_member.left_at = NOW
    other_household_member.save()
    page = text_of(as_coordinator.get(told))
    assert NOTED not in page
    assert "Mail reaches everybody." in page


def test_while_a_letter_is_under_way_nobody_says_that_mail_reaches_everybody(
    as_coordinator, told, coop, member
):
    mail = refuse(member, address=member.user.email)
    as_coordinator.post(reverse("notices:again", args=[coop.slug, mail.pk]))
    assert "Mail reaches everybody" not in text_of(as_coordinator.get(told))
    post()
    assert "Mail reaches everybody." in text_of(as_coordinator.get(told))


def test_whom_mail_does_not_reach_is_marked_in_who_was_told(
    as_coordinator, address, buy, household, member, other_household_member
):
    refuse(member, address=member.user.email, seen_at=NOW, refused_at=NOW - timedelta(days=3))
    tell(buy, household, other_household_member.household)
    page = people_of(as_coordinator, address)
    assert page.count("mail did not reach this address Sat 8 Aug at 9:00") == 1
    assert page.index("Ines Castell") < page.index("mail did not reach this address")


def test_a_member_reads_nothing_of_it_on_this_week(as_member, coop, coordinator):
    refuse(coordinator)
    assert "Mail does not reach" not in text_of(
        as_member.get(reverse("people:week", args=[coop.slug]))
    )


# ---- once more ------------------------------------------------------------------------------
def test_sent_again_it_goes_to_the_address_that_they_have_now(as_coordinator, coop, member):
    mail = refuse(member, attempts=9)
    again = reverse("notices:again", args=[coop.slug, mail.pk])
    assert as_coordinator.post(again).status_code == 302
    [letter] = post()
    assert letter.to == [member.user.email]
    as_coordinator.post(again)
    assert post() == []


@pytest.mark.django_db(transaction=True)
def test_two_who_send_it_again_at_one_moment_send_one_letter(coordinator, member):
    mail = refuse(member)

    def again():
        try_again(mail, by=coordinator)

    assert at_once(again, again) == ["done", "done"]
    assert len(post()) == 1


@pytest.mark.parametrize("gone", ["dropped", "too_late", "left"])
def test_what_no_longer_stands_is_not_sent_again(gone, as_coordinator, told, coop, member):
    mail = refuse(member)
    notice = mail.notices.get()
    if gone == "left":
        member.left_at = NOW
        member.save()
    else:
        notice.matter.dropped_at = NOW if gone == "dropped" else None
        notice.matter.until = NOW - timedelta(minutes=1) if gone == "too_late" else None
        notice.matter.save()
    assert "Send again" not in text_of(as_coordinator.get(told))
    assert (
        as_coordinator.post(reverse("notices:again", args=[coop.slug, mail.pk])).status_code == 409
    )
    assert Mail.objects.get().refused_at == NOW


@pytest.mark.parametrize(
    ("who", "status"),
    [
        ("as_member", 403),
        ("as_treasurer", 403),
        ("as_outsider", 404),
        ("as_stranger", 404),
        ("signed_out", 302),
    ],
)
def test_only_coordinators_look_after_mail(who, status, request, told, coop, coordinator):
    mail, client = refuse(coordinator), request.getfixturevalue(who)
    acts = [reverse(f"notices:{name}", args=[coop.slug, mail.pk]) for name in ("seen", "again")]
    assert {client.get(told).status_code, *(client.post(act).status_code for act in acts)} == {
        status
    }
    assert list(Mail.objects.values_list("refused_at", "seen_at")) == [(NOW, None)]


# ---- of late --------------------------------------------------------------------------------
def test_what_was_told_of_late_is_counted(as_coordinator, told, buy, household, member):
    factories.make_member(household)
    tell(buy, household)
    post()
    late = sections_of(as_coordinator.get(told))["Told in the last days"]
    assert "Corn is called in Something happened: 2 people, 2 by mail; today at 9:00." in late


def test_what_is_a_households_own_business_is_counted_without_its_words(
    as_coordinator, told, member
):
    make_notice(member, matter=make_matter(member, about="round:3", title="You owe Brandt $38"))
    page = text_of(as_coordinator.get(told))
    assert "Something happened" in page
    assert "$38" not in page


@pytest.mark.sqlite
def test_several_things_of_a_day_are_counted_as_such(as_coordinator, told, member):
    for load in (1, 2):
        make_notice(member, matter=make_matter(member, about=f"load:{load}"))
    page = text_of(as_coordinator.get(told))
    assert "Something happened 1 person, 2 notices, nobody by mail" in page.replace(
        "0 by", "nobody by"
    )


@pytest.mark.sqlite
def test_with_nothing_told_the_page_says_what_will_stand_here(as_coordinator, told):
    assert "Nothing was told yet" in text_of(as_coordinator.get(told))


@pytest.mark.sqlite
def test_the_page_of_the_coop_asks_as_much_for_ten_as_for_twenty(as_coordinator, told, household):
    counts = []
    for many in (10, 20):
        for _ in range(10):
            refuse(factories.make_member(household))
        with CaptureQueriesContext(connection) as queries:
            page = main_of(as_coordinator.get(told))
        assert len(page.select("[aria-labelledby=refused] li")) == many
        counts.append(len(queries))
    assert counts[0] == counts[1]
