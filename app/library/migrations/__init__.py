"""The versions of the tables, one module each, and what runs them."""
