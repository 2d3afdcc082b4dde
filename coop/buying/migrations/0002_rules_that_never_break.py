"""What belongs to a buy belongs to its co-op; a spare is never claimed twice over.

Held by triggers, in SQL that both databases read alike. A table that a later migration alters is
made anew on SQLite and loses its triggers: such a migration must drop and make them again, and
tests/web/test_triggers_stand.py fails when one is missing.
"""

from django.db import migrations

from coop.triggers import dropping, making

# Name of the rule, table, events, and what breaks it.
RULES = [
    (
        "farm_in_the_coop_of_its_account",
        "buying_farm",
        "INSERT UPDATE",
        "(SELECT coop_id FROM money_account WHERE id = NEW.account_id) <> NEW.coop_id",
    ),
    ("farm_keeps_its_coop", "buying_farm", "UPDATE", "OLD.coop_id <> NEW.coop_id"),
    (
        "buy_within_one_coop",
        "buying_buy",
        "INSERT UPDATE",
        "(SELECT coop_id FROM money_account WHERE id = NEW.account_id) <> NEW.coop_id OR "
        "(SELECT coop_id FROM people_member WHERE id = NEW.coordinator_id) <> NEW.coop_id "
        "OR (SELECT coop_id FROM people_household WHERE id = NEW.fronted_by_id) <> "
        "NEW.coop_id",
    ),
    ("buy_keeps_its_coop", "buying_buy", "UPDATE", "OLD.coop_id <> NEW.coop_id"),
    (
        "supply_of_its_offers_farm",
        "buying_supply",
        "INSERT UPDATE",
        "(SELECT farm_id FROM buying_offer WHERE id = NEW.offer_id) <> NEW.farm_id",
    ),
    (
        "supply_within_one_coop",
        "buying_supply",
        "INSERT UPDATE",
        "(SELECT coop_id FROM buying_farm WHERE id = NEW.farm_id) <> (SELECT b.coop_id "
        "FROM buying_line l JOIN buying_buy b ON b.id = l.buy_id WHERE l.id = "
        "NEW.line_id)",
    ),
    (
        "ask_within_one_coop",
        "buying_ask",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.household_id) <> (SELECT "
        "b.coop_id FROM buying_line l JOIN buying_buy b ON b.id = l.buy_id WHERE l.id = "
        "NEW.line_id)",
    ),
    (
        "rules_accepted_within_one_coop",
        "buying_rulesaccepted",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.household_id) <> (SELECT "
        "coop_id FROM buying_buy WHERE id = NEW.buy_id)",
    ),
    (
        "release_within_one_coop",
        "buying_release",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.taken_by_id) <> (SELECT "
        "h.coop_id FROM buying_ask a JOIN people_household h ON h.id = a.household_id "
        "WHERE a.id = NEW.ask_id)",
    ),
    (
        "division_within_one_coop",
        "buying_division",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_member WHERE id = NEW.published_by_id) <> (SELECT "
        "b.coop_id FROM buying_line l JOIN buying_buy b ON b.id = l.buy_id WHERE l.id = "
        "NEW.line_id)",
    ),
    (
        "share_within_one_coop",
        "buying_share",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.household_id) <> (SELECT "
        "b.coop_id FROM buying_division d JOIN buying_line l ON l.id = d.line_id JOIN "
        "buying_buy b ON b.id = l.buy_id WHERE d.id = NEW.division_id)",
    ),
    (
        "spare_of_its_shares_division",
        "buying_spare",
        "INSERT UPDATE",
        "(SELECT division_id FROM buying_share WHERE id = NEW.share_id) <> "
        "NEW.division_id",
    ),
    (
        "spare_claim_within_one_coop",
        "buying_spareclaim",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.household_id) <> (SELECT "
        "b.coop_id FROM buying_spare s JOIN buying_division d ON d.id = s.division_id "
        "JOIN buying_line l ON l.id = d.line_id JOIN buying_buy b ON b.id = l.buy_id "
        "WHERE s.id = NEW.spare_id)",
    ),
    (
        "spare_claims_within_the_spare",
        "buying_spareclaim",
        "INSERT",
        "(SELECT amount FROM buying_spare WHERE id = NEW.spare_id) < NEW.amount + (SELECT "
        "COALESCE(SUM(amount), 0) FROM buying_spareclaim WHERE spare_id = NEW.spare_id)",
    ),
    (
        "charge_within_one_coop",
        "buying_charge",
        "INSERT UPDATE",
        "(SELECT coop_id FROM money_entry WHERE id = NEW.entry_id) <> (SELECT coop_id "
        "FROM buying_buy WHERE id = NEW.buy_id)",
    ),
    (
        "charge_of_a_line_of_its_buy",
        "buying_charge",
        "INSERT UPDATE",
        "(SELECT buy_id FROM buying_line WHERE id = NEW.line_id) <> NEW.buy_id",
    ),
    (
        "buy_payment_within_one_coop",
        "buying_buypayment",
        "INSERT UPDATE",
        "(SELECT coop_id FROM money_entry WHERE id = NEW.entry_id) <> (SELECT coop_id "
        "FROM buying_buy WHERE id = NEW.buy_id) OR (SELECT coop_id FROM buying_farm WHERE "
        "id = NEW.farm_id) <> (SELECT coop_id FROM buying_buy WHERE id = NEW.buy_id) OR "
        "(SELECT coop_id FROM people_household WHERE id = NEW.household_id) <> (SELECT "
        "coop_id FROM buying_buy WHERE id = NEW.buy_id)",
    ),
]


class Migration(migrations.Migration):
    dependencies = [("buying", "0001_initial")]

    operations = [migrations.RunPython(making(RULES), dropping(RULES), elidable=False)]
