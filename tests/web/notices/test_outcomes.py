"""A real mail server answers, and its answer decides what becomes of a letter."""

import smtplib
import socket
import threading
from datetime import timedelta

import pytest
from aiosmtpd.controller import Controller
from django.core.mail import EmailMessage

from coop.notices.mailing import outcomes
from coop.notices.mailing.carrier import carry
from coop.notices.mailing.claiming import claim
from coop.notices.mailing.outcomes import GIVE_UP_AFTER, Trouble, tried_for, trouble_of
from coop.notices.mailing.server import MailServer, Unreachable
from coop.notices.models import Mail
from tests.ports import free_port
from tests.web.factories import NOW, make_member, make_user
from tests.web.notice_factories import know_the_kinds, make_mail, make_matter, make_notice

pytestmark = pytest.mark.django_db
MINUTE = timedelta(minutes=1)


class Answers:
    """Says to each step what it was told to say, and keeps what it took."""

    def __init__(self):
        self.to_mail = self.to_rcpt = self.to_data = {}
        self.taken = []

    async def handle_MAIL(self, server, session, envelope, address, options):
        envelope.mail_from = address
        return self.to_mail.get(address, "250 Go on")

    async def handle_RCPT(self, server, session, envelope, address, options):
        envelope.rcpt_tos.append(address)
        return self.to_rcpt.get(address, "250 Go on")

    async def handle_DATA(self, server, session, envelope):
        (recipient,) = envelope.rcpt_tos
        answer = self.to_data.get(recipient, "250 Taken")
        if answer.startswith("250"):
            self.taken.append(recipient)
        return answer


def go_by(settings, port):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port


@pytest.fixture
def answers(settings):
    know_the_kinds()
    controller = Controller(Answers(), hostname="127.0.0.1", port=free_port())
    controller.start()
    go_by(settings, controller.port)
    yield controller.handler
    controller.stop()


def send(now=NOW):
    """Carry all that may be tried now."""
    while token := claim(now):
        carry(token)


def what_became(mail):
    mail.refresh_from_db()
    return mail.sent_at, mail.refused_at, mail.attempts


# ---- Yes and no -----------------------------------------------------------------------------
def test_a_yes_is_written_down(answers, member):
    mail = make_mail(member)
    send()
    assert answers.taken == [member.user.email]
    assert what_became(mail) == (NOW, None, 0)


@pytest.mark.parametrize("step", ["to_rcpt", "to_data"])
def test_a_no_for_good_is_kept_with_what_the_server_said(answers, member, step):
    mail = make_mail(member)
    setattr(answers, step, {member.user.email: "550 5.1.1 No such mailbox"})
    send()
    assert what_became(mail) == (None, NOW, 1)
    assert mail.trouble == "550 5.1.1 No such mailbox"


@pytest.mark.parametrize("step", ["to_rcpt", "to_data"])
def test_a_not_now_is_tried_again_later(answers, member, step, clock):
    mail = make_mail(member)
    setattr(answers, step, {member.user.email: "451 4.7.1 Come again"})
    send()
    assert what_became(mail) == (None, None, 1)
    assert NOW + MINUTE <= mail.try_at <= NOW + 1.25 * MINUTE
    setattr(answers, step, {})
    clock.move_to(mail.try_at)
    send(mail.try_at)
    assert answers.taken == [member.user.email]
    assert mail.trouble == "451 4.7.1 Come again"


def test_a_no_to_the_sender_is_about_us_and_the_letters_wait(answers, member, settings):
    settings.DEFAULT_FROM_EMAIL = "Larder <larder@example.test>"
    answers.to_mail = {"larder@example.test": "550 5.7.1 Not from here"}
    mail = make_mail(member)
    send()
    assert what_became(mail) == (None, None, 1)


def test_a_no_to_one_letter_does_not_keep_the_next(answers):
    first, second = make_mail(), make_mail()
    answers.to_rcpt = {first.address: "550 No such mailbox"}
    send()
    assert what_became(first)[1] == what_became(second)[0] == NOW


def test_a_server_that_hangs_up_is_called_again_for_the_next_letter(answers):
    first, second = make_mail(), make_mail()
    answers.to_data = {first.address: "421 4.7.0 Too many letters"}
    send()
    assert what_became(first) == (None, None, 1)
    assert what_became(second) == (NOW, None, 0)


def test_after_days_of_trying_it_is_given_up(answers, member):
    tries = next(n for n in range(99) if tried_for(n) >= GIVE_UP_AFTER)
    last, last_but_one = make_mail(attempts=tries - 1), make_mail(attempts=tries - 2)
    answers.to_rcpt = {mail.address: "450 Full" for mail in (last, last_but_one)}
    send()
    assert what_became(last) == (None, NOW, tries)
    assert last.trouble == "Given up after 3 days of trying. The last answer: 450 Full"
    assert what_became(last_but_one) == (None, None, tries - 1)


# ---- No server ------------------------------------------------------------------------------
def test_without_a_server_the_batch_waits_and_no_try_is_counted(settings):
    know_the_kinds()
    go_by(settings, free_port())
    mails = [make_mail() for _ in range(3)]
    send()
    for mail in mails:
        assert what_became(mail) == (None, None, 0)
        assert (mail.try_at, mail.token) == (NOW + MINUTE, None)
        assert mail.trouble.startswith("The mail server could not be reached: ")


@pytest.mark.parametrize(
    "error",
    [
        smtplib.SMTPAuthenticationError(535, b"5.7.8 Wrong password"),
        smtplib.SMTPRecipientsRefused({"a@example.test": (530, b"5.7.0 Sign in first")}),
        smtplib.SMTPServerDisconnected("gone"),
        TimeoutError("timed out"),
    ],
)
def test_what_is_about_us_is_never_for_good(error):
    assert not trouble_of(error).for_good


@pytest.fixture
def silent(settings):
    """A server that says hello to everything up to the letter, and then nothing more."""
    listener = socket.create_server(("127.0.0.1", 0))
    go_by(settings, listener.getsockname()[1])
    settings.MAIL_LETTER_SECONDS = 0.2

    def talk():
        line, _ = listener.accept()
        with line, line.makefile("rb") as words:
            line.sendall(b"220 here\r\n")
            for said in words:
                if said.startswith(b"DATA"):
                    line.sendall(b"354 go on\r\n")
                    break
                line.sendall(b"250 yes\r\n")
            words.read()  # until the line is cut

    thread = threading.Thread(target=talk)
    thread.start()
    yield
    thread.join(20)
    listener.close()


def test_a_letter_that_takes_too_long_is_cut_off(silent):
    server = MailServer(alarmed=True)
    trouble = server.take(EmailMessage("Corn", "It came.", "a@example.test", ["b@example.test"]))
    assert trouble is not None
    assert not trouble.for_good
    server.close()


def test_a_server_that_never_says_hello_is_not_waited_for(settings):
    with socket.create_server(("127.0.0.1", 0)) as listener:
        go_by(settings, listener.getsockname()[1])
        settings.MAIL_LETTER_SECONDS = 0.2
        with pytest.raises(Unreachable, match="too long"):
            MailServer(alarmed=True).take(EmailMessage("Corn", to=["b@example.test"]))


# ---- What is not sent after all -------------------------------------------------------------
def test_a_letter_whose_matters_were_dropped_is_dropped(answers, member):
    mail = make_mail(member, notices=0)
    make_notice(member, mail=mail, matter=make_matter(member, dropped_at=NOW))
    send()
    assert (answers.taken, what_became(mail)) == ([], (None, None, 0))
    assert mail.dropped_at == NOW


def test_what_became_too_late_while_it_waited_is_left_out_of_the_letter(answers, member):
    mail = make_mail(member, notices=0)
    late = make_notice(member, mail=mail, matter=make_matter(member, until=NOW))
    send()
    late.refresh_from_db()
    assert (answers.taken, late.too_late_at) == ([], NOW)
    assert Mail.objects.get().dropped_at == NOW


@pytest.mark.parametrize("who", ["left", "without an address"])
def test_who_left_or_has_no_address_gets_nothing(answers, who):
    gone = {"left_at": NOW} if who == "left" else {"user": make_user()}
    mail = make_mail(make_member(**gone))
    if who != "left":
        mail.member.user.email = ""
        mail.member.user.save()
    send()
    mail.refresh_from_db()
    assert (answers.taken, mail.dropped_at) == ([], NOW)


def test_it_goes_to_the_address_that_the_member_has_by_now(answers, member):
    mail = make_mail(member, address="old@example.test")
    send()
    mail.refresh_from_db()
    assert answers.taken == [mail.address] == [member.user.email]


def test_a_letter_that_cannot_be_written_does_not_keep_the_next(answers, member, caplog):
    broken, whole = make_mail(member, notices=0), make_mail()
    make_notice(member, mail=broken, matter=make_matter(member, details=7))
    send()
    assert what_became(broken) == (None, None, 1)
    assert what_became(whole) == (NOW, None, 0)
    assert "cannot be written" in caplog.text


# ---- Who stops, and who was overtaken -------------------------------------------------------
def test_who_is_asked_to_stop_lets_anybody_take_the_rest(answers):
    for _ in range(3):
        make_mail()
    carry(claim(NOW), asked_to_stop=lambda: bool(answers.taken))
    assert len(answers.taken) == 1
    assert Mail.objects.filter(sent_at=None, token=None).count() == 2


def test_a_carrier_that_lost_its_lease_sends_nothing(answers, member, settings):
    make_mail(member)
    lost = claim(NOW)
    claim(NOW + timedelta(seconds=settings.MAIL_LEASE_SECONDS))
    carry(lost)
    assert answers.taken == []


@pytest.mark.parametrize("answer", ["250 Taken", "451 Not now"])
def test_who_was_overtaken_while_the_server_thought_writes_down_its_yes_alone(
    answers, member, settings, answer
):
    """A yes is true whoever says it; any other word is for who holds the letter by now."""
    mail = make_mail(member)
    mine = claim(NOW)
    mail.refresh_from_db()
    claim(NOW + timedelta(seconds=settings.MAIL_LEASE_SECONDS))
    if answer.startswith("250"):
        outcomes.write_sent(mail, NOW)
        assert what_became(mail) == (NOW, None, 0)
    else:
        outcomes.write_trouble(mail, Trouble(answer), NOW)
        assert what_became(mail) == (None, None, 0)
        assert mail.token not in (None, mine)
