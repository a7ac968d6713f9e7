"""The simulated athlete that makes the sample submission, with its ground truth."""
