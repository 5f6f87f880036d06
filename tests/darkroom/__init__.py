"""Photographs of framed things as solid boxes on a wall or a floor: what measuring by photograph is judged by.

`solid` renders (its own pinhole, its own lens, its own light; nothing of it comes from what it judges), `scenes` draws
the rooms, `judge` holds the measuring against the truth. `python -m tests.darkroom --count 40` prints the figures; each
run has a new seed, and says which.
"""
