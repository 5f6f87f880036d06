"""The placement engine: pure Python, NumPy, SciPy and shapely. It imports no Django.

Coordinates: every wall is an elevation seen facing it. The origin is the wall's lower left corner at the
finished floor, x runs right, y runs up. Lengths are millimetres, angles degrees, weights kilograms, forces
newtons, light lux; names end in the unit where it could be doubted; ratios end in `_ratio`.

Arrays over N works and M spaces are named and shaped in `scene.py`; a pair array is always (N, M).
"""

#: Goes into every signed record. Raised with any change that can alter a score, a place or a finding.
VERSION = "2.0.0"
