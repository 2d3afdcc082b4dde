"""Farms and their offers, buys, asks, tallies, divisions and shares."""
