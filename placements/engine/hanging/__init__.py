"""How a piece hangs: wire mechanics, hook points, studs, fixings for each point, and cautions.

`points.hook_points` gives the hooks, `fasten.fasten` the fixing for each, `cautions.cautions` what to mind.
"""
