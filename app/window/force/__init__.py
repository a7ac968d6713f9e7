"""The force: trace, stroke curve, target, line-up and findings."""
