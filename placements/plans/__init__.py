"""The plan of a room from its walls: a traverse, closed as surveyors close one. Framework-free.

Plan coordinates are millimetres: x to the east (or to the right, where no bearing is known), y to the north.
"""
