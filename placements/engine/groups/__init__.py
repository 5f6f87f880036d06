"""Groups: composing, editing, sequencing and regularising several works hung as one installation.

Pieces are boxes, (k, 4) float arrays of left, bottom, right, top [mm] in wall coordinates; a batch of B layouts of
the same k pieces is (B, k, 4). A gap is the clear distance between the outer edges of two neighbours.
"""
