"""The plan as an assignment: at most one arrangement a space, each work once, proved by a bound.

A column is one arrangement in one space: a single work, a group, or nothing (bare); or two works that match, in two
spaces. The linear program over columns is solved by HiGHS; single works left out are priced by its duals and added
while any could improve, so the dual bound holds for every column. An integer solve follows where the program is
fractional.
"""

from .problem import Column, Match, Problem, Solution
from .solve import alternatives, solve

__all__ = ["Column", "Match", "Problem", "Solution", "alternatives", "solve"]
