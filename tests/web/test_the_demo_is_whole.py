"""The demo is there as a whole, or not at all."""

from __future__ import annotations

import pytest
from django.core.management import CommandError, call_command

from coop.people.errors import Refused
from coop.people.models import Coop, User


def test_a_demo_that_cannot_be_played_to_its_end_leaves_nothing(
    db: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_args: object, **_named: object) -> None:
        raise Refused("The oven is out.")

    monkeypatch.setattr("coop.kitchen.demo.cooking.tell_fates", refuse)
    with pytest.raises(CommandError, match="The oven is out"):
        call_command("load_demo")
    assert not Coop.objects.exists()
    assert not User.objects.exists()
