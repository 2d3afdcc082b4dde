"""The tick hands letters to workers; at night all causes are looked through."""

import threading

import pytest
from kombu.exceptions import OperationalError as BrokerAway

from coop.notices import sources, tasks
from coop.notices.actions.keeping import Kept
from coop.notices.mailing.apart import carry_apart
from coop.notices.mailing.claiming import LETTERS_AT_ONCE, claim
from coop.notices.models import Mail
from coop.notices.sources import Source
from tests.web.factories import NOW, make_coop
from tests.web.notice_factories import know_the_kinds, make_mail, make_notice

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()


@pytest.fixture
def handed_out(monkeypatch):
    """The tokens that the tick hands out, in place of a broker."""
    tokens = []
    monkeypatch.setattr(
        tasks.deliver, "apply_async", lambda args, **options: tokens.extend(args), raising=True
    )
    return tokens


def test_the_tick_goes_on_until_nothing_is_due(handed_out):
    for _ in range(LETTERS_AT_ONCE):
        make_mail(notices=0)
    make_notice()
    assert tasks.tick() == 2
    held = Mail.objects.values_list("token", flat=True).distinct()
    assert {str(token) for token in held} == set(handed_out)
    assert tasks.tick() == 0


def test_where_the_broker_is_away_the_letters_are_free_for_the_next_tick(monkeypatch, member):
    def refuse(*args, **options):
        raise BrokerAway("connection refused")

    with monkeypatch.context() as away:
        away.setattr(tasks.deliver, "apply_async", refuse)
        make_notice(member)
        assert tasks.tick() == 0
    assert Mail.objects.get().token is None
    assert claim(NOW)


def test_a_message_that_comes_twice_works_once(monkeypatch, member):
    carried = []
    monkeypatch.setattr(tasks, "carry_apart", carried.append)
    make_mail(member)
    token = str(claim(NOW))
    tasks.deliver(token)
    tasks.deliver(token)
    assert carried == [Mail.objects.get().token]


def test_a_process_with_more_threads_carries_by_itself(member, mailoutbox):
    make_mail(member)
    done = threading.Event()
    another = threading.Thread(target=done.wait)
    another.start()
    carry_apart(claim(NOW))
    done.set()
    another.join()
    assert [letter.to for letter in mailoutbox] == [[member.user.email]]


def test_trouble_with_one_co_op_is_not_anothers(monkeypatch, caplog):
    bad, good, quiet = (make_coop() for _ in range(3))

    def renew(pk):
        if pk == bad.pk:
            raise ValueError("no such cause")
        return Kept(made=1) if pk == good.pk else Kept()

    monkeypatch.setattr(sources, "sources", [Source("test", lambda coop: [coop.pk], renew)])
    assert tasks.put_right_all() == 1
    assert f"co-op {bad.pk} could not be looked through" in caplog.text
    assert f"co-op {good.pk} differed" in caplog.text
    assert f"co-op {quiet.pk}" not in caplog.text
