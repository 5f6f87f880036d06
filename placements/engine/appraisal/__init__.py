"""What any hanging of a house is worth, whoever hung it: `appraise` says it in marks, each named, with its points.

The numbers are the plan's own (`plan.worth`, `plan.merit`, `plan.across`) and the rules', so that a proposal and a hand
are measured alike; what a plan never makes, since it generates only what is sound, is marked down here besides.
"""
