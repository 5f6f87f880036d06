"""The plan's part of the API: revisions, pieces, findings, decisions, proposals, talk, house rules, surveys."""
