"""Everything that writes photographs that measure: one module a step, from taking one in to what it is good for."""
