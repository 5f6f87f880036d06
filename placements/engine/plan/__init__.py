"""The plan of a house: which composition each wall is hung with, chosen for all walls at once.

`kinds` folds works that no eye could tell apart; `casts` says which works make one composition and in which forms;
`places` says where compositions go and what each place is worth; `worth` judges every cast in every place; `columns`
sets what may be chosen out as columns, those that fill several places (a pair either side of a door, a series over
equal panels) among them; `packing` picks the best of them all, with a bound; `hanging` gives every piece its exact place.
"""
