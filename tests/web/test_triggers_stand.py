"""Every rule that the migrations give to the database stands there, and does refuse.

SQLite makes a table anew when a migration alters it, and its triggers are gone without a word.
"""

import importlib
import pkgutil

import pytest
from django.apps import apps
from django.db import DatabaseError, connection, transaction

from coop.money.actions.entries import Flow, post_entry
from coop.money.models import Entry
from coop.people.changes import record_change
from tests.web import buy_factories, factories


def rules():
    """(table, name of the trigger) of every migration that lists RULES."""
    found = set()
    for config in apps.get_app_configs():
        if not config.name.startswith("coop."):
            continue
        migrations = importlib.import_module(f"{config.name}.migrations") if _has(config) else None
        for module in pkgutil.iter_modules(migrations.__path__) if migrations else ():
            migration = importlib.import_module(f"{migrations.__name__}.{module.name}")
            for name, table, events, _ in getattr(migration, "RULES", ()):
                found |= {(table, f"{name}_{event.lower()}") for event in events.split()}
    return found


def _has(config):
    return importlib.util.find_spec(f"{config.name}.migrations") is not None


def standing():
    """(table, name) of every trigger in the database."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT c.relname, t.tgname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid "
                "WHERE NOT t.tgisinternal"
            )
        else:
            cursor.execute("SELECT tbl_name, name FROM sqlite_master WHERE type = 'trigger'")
        return set(cursor.fetchall())


def test_every_rule_of_the_migrations_stands_in_the_database(db):
    assert len(rules()) >= 40
    assert rules() - standing() == set()


@pytest.fixture
def entry(coordinator, household):
    """Money that moved from one household to another."""
    flows = [Flow(coordinator.household.account, household.account, 500)]
    return post_entry(coordinator.coop, Entry.Kind.PAID_IN, flows, title="Lent", by=coordinator)


def refused(act):
    with pytest.raises(DatabaseError) as refusal, transaction.atomic():
        act()
    return str(refusal.value)


def test_a_movement_is_never_changed(entry):
    movement = entry.movements.get()
    movement.cents = 1
    assert "movement_is_never_altered" in refused(movement.save)


def test_a_movement_is_never_deleted(entry):
    movements = entry.movements.all()
    assert "movement_is_never_altered" in refused(lambda: movements._raw_delete("default"))


def test_an_entry_is_never_changed(entry):
    entry.title = "Never happened"
    assert "entry_is_never_altered" in refused(entry.save)


def test_history_is_never_changed(coordinator):
    change = record_change(coordinator.household, "It was so.", coop=coordinator.coop, by=None)
    change.sentence = "It was otherwise."
    assert "change_is_never_altered" in refused(change.save)


def test_money_does_not_cross_from_one_coop_to_another(coordinator, outsider):
    flows = [Flow(coordinator.household.account, outsider.household.account, 500)]
    said = refused(
        lambda: post_entry(
            coordinator.coop, Entry.Kind.PAID_IN, flows, title="Lent", by=coordinator
        )
    )
    assert "movement_within_one_coop" in said
    assert not Entry.objects.exists()


def test_a_member_is_in_the_coop_of_the_household(household, outsider):
    outsider.household = household
    assert "member_in_the_coop_of_its_household" in refused(outsider.save)


def test_a_household_does_not_ask_in_another_coops_buy(household, outsider):
    line = buy_factories.the_line(buy_factories.make_buy(coordinator=outsider))
    said = refused(lambda: buy_factories.make_ask(line, household, by=outsider))
    assert "within_one_coop" in said


def test_a_spare_is_not_claimed_twice_over(coordinator, household):
    buy = buy_factories.make_divided_buy(
        coordinator=coordinator, shares={household: 300}, left_over=20
    )
    spare = buy_factories.the_line(buy).divisions.get().spares.get()
    spare.claims.create(household=household, amount=15, by=coordinator)
    said = refused(lambda: spare.claims.create(household=household, amount=6, by=coordinator))
    assert "spare_claims_within_the_spare" in said


def test_a_buy_does_not_change_its_coop(coordinator, other_coop):
    buy = buy_factories.make_buy(coordinator=coordinator)
    buy.coop = other_coop
    assert "buy_" in refused(buy.save)


def test_a_farm_keeps_its_coop(coop, other_coop):
    farm = factories.make_farm(coop)
    farm.coop = other_coop
    assert "farm_" in refused(farm.save)
