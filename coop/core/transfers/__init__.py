"""Squaring up: who pays whom, in as few payments as possible."""

from coop.core.transfers.settle import Payment, Transfers, Unbalanced, fewest_transfers

__all__ = ["Payment", "Transfers", "Unbalanced", "fewest_transfers"]
