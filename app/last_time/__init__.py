"""A review against an earlier one of its athlete: what window and commands show and send of it."""
