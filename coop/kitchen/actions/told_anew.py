"""What is said anew of a lot: how many jars went in, and where its produce came from."""

from __future__ import annotations

from django.db import transaction

from coop.buying.models import Farm, Share
from coop.kitchen.actions.lots import MOST_JARS
from coop.kitchen.actions.yes import crowded, require_yes
from coop.kitchen.errors import Refused
from coop.kitchen.models import Lot
from coop.kitchen.notices import loads as notices
from coop.kitchen.queries.lots import jars_said, lock_lot
from coop.kitchen.queries.origins import shares_for
from coop.kitchen.queries.plans import farm_of_share, farms_to_choose
from coop.kitchen.rights import require_keep_lot
from coop.people.changes import record_change
from coop.people.locks import lock_people
from coop.people.models import Member


def correct_jars_in(lot_id: int, count: int, *, by: Member, ran_so: bool = False) -> Lot:
    """Mend how many jars went in, until they are counted out.

    More than any published canner takes is refused until `ran_so` says that it was so. Raises
    NotAllowed, and Refused.
    """
    with transaction.atomic():
        lock_people(by.coop_id)  # so that a lot that is added meanwhile is counted with it
        lot = lock_lot(by, lot_id)
        require_keep_lot(by, lot)
        if lot.load is None or lot.counted_out is not None:
            raise Refused("They are counted out already: mend that count instead.", field="count")
        if not 0 < count <= MOST_JARS:
            raise Refused(f"Count from 1 to {MOST_JARS}.", field="count")
        require_yes((), crowded(lot.load, {lot.jar: count}, but=lot.pk), ran_so=ran_so)
        before = {"counted_in": lot.counted_in}
        if count == lot.counted_in:
            return lot
        lot.counted_in = count
        lot.save(update_fields=["counted_in"])
        sentence = f"{jars_said(lot, count)} went in, not {before['counted_in']}"
        after = {"counted_in": count}
        record_change(lot, sentence, coop=lot.coop, by=by, before=before, after=after)
        notices.renew_around(lot.coop, [lot.pk])
        return lot


def say_origin(
    lot_id: int, *, share: Share | None = None, farm: Farm | None = None, by: Member
) -> Lot:
    """Say of which share a lot is, or of which farm where it is of no share.

    Raises NotAllowed, and Refused where the share is not the household's own of that produce.
    """
    with transaction.atomic():
        lock_people(by.coop_id)  # so that who warns of a delivery meanwhile finds it, or is found
        lot = lock_lot(by, lot_id)
        require_keep_lot(by, lot)
        if share is not None and share not in shares_for(lot):
            raise Refused("Choose a share of the household, of what is in the jars.")
        if farm is not None and not farms_to_choose(lot.coop, lot.farm_id).contains(farm):
            raise Refused("Choose a farm of the list.")
        if share is None and farm is None:
            raise Refused("Say which share or which farm it was.", field="origin")
        before = {"share": lot.share_id, "farm": lot.farm_id}
        lot.share, lot.farm = share, farm_of_share(share) if share else farm
        after = {"share": lot.share_id, "farm": lot.farm_id}
        if after != before:
            lot.save(update_fields=["share", "farm"])
            said = share.division.line.buy.title if share else lot.farm
            sentence = f"Where it comes from: {said}"
            record_change(lot, sentence, coop=lot.coop, by=by, before=before, after=after)
            notices.renew_around(lot.coop, [lot.pk])
        return lot
