"""Pure computation: integers, exact fractions, frozen dataclasses. No Django, no clock."""
