"""What a plan costs and how long it takes to hang: a price list and the pieces in, lines and sums out. No framework.

Money is `Decimal`, never a float. A sum is rounded once, from exact amounts; the parts shown beside it are rounded so
that they add up to it.
"""
