"""Explanations a coach keeps by finding: made once, shown on the next athlete's own frame."""
