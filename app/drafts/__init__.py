"""Drafts prepared before a coach looks: which files belong together, and a review of each."""
