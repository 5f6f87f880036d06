"""The demonstration: an invented studio, its surveys, and pictures that our own code paints."""
