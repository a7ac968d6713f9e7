"""How footage and force stand to each other: found, checked, set by hand."""
