"""Addresses of loans."""

from django.urls import path

from coop.jars.views import loans, moves

urlpatterns = [
    path("jars/loans/", loans.loans, name="loans"),
    path("jars/borrow/<int:household_id>/", loans.borrow, name="borrow"),
    path("jars/offer/<int:household_id>/", loans.offer, name="offer"),
    path("jars/loans/<int:loan_id>/", moves.loan, name="loan"),
    path("jars/loans/<int:loan_id>/agree/", moves.agree, name="agree"),
    path("jars/loans/<int:loan_id>/end/", moves.end_loan, name="end_loan"),
    path("jars/loans/<int:loan_id>/hand-over/", moves.hand_over, name="hand_over"),
    path("jars/loans/<int:loan_id>/return/", moves.take_back, name="take_back"),
    path("jars/loans/<int:loan_id>/broken/", moves.broken, name="broken"),
    path("jars/loans/<int:loan_id>/keep/", moves.keep, name="keep"),
]
