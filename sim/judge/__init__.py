"""Numbers against rule sets: rules with their sources, findings."""
