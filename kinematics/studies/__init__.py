"""Studies: whole answers, from a project in one call."""
