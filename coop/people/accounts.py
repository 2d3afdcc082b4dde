"""How accounts are made: by invitation."""

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class AccountAdapter(DefaultAccountAdapter):
    """Closes sign-up to whoever has no invitation."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Nobody signs up without an invitation."""
        return False
