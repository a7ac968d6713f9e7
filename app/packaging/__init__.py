"""One self-contained application of all this, for machines that have no Python."""
