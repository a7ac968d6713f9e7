"""The measures of one stroke, each a spec of its own. Listed once, in `registry.py`."""
