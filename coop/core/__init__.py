"""Pure computation: integers and exact fractions in, a result out.

No Django, no clock, no chance, no reading or writing.
"""
