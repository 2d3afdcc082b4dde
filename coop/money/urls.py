"""Addresses of money."""

from django.urls import path

from coop.money.views import entries, overview, rounds, statements, till

app_name = "money"
urlpatterns = [
    path("money/", overview.money, name="money"),
    path("money/statements/<int:household_id>/", statements.statement, name="statement"),
    path("money/entries/", entries.entries, name="entries"),
    path("money/entries/<int:entry_id>/", entries.entry, name="entry"),
    path("money/entries/<int:entry_id>/reverse/", entries.reverse_entry, name="reverse_entry"),
    path("money/pay-in/", till.pay_in, name="pay_in"),
    path("money/pay-out/", till.pay_out, name="pay_out"),
    path("money/square-up/", rounds.square_up, name="square_up"),
    path("money/rounds/<int:square_up_id>/", rounds.round_, name="round"),
    path("money/payments/<int:payment_id>/paid/", rounds.mark_paid, name="mark_paid"),
    path("money/payments/<int:payment_id>/not-paid/", rounds.take_back_paid, name="take_back_paid"),
    path(
        "money/payments/<int:payment_id>/confirm/", rounds.confirm_payment, name="confirm_payment"
    ),
]
