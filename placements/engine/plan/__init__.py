"""The plan of a house: which composition each place is hung with, chosen for all walls at once.

`kinds` folds works that no eye could tell apart; `casts` says which make one composition, in which forms; `places`
says where compositions go, what each place counts for and which places answer one another; `worth` judges how well
every outline sits in every place, `merit` what a cast is worth beside that; `board`, `across` and `rhythm` set out what
may be chosen; `packing` picks the best of it, with a bound; `hanging` gives every piece its exact place; `planner` does
all of this for a house, and `unplaced` says why the rest stays down.
"""
