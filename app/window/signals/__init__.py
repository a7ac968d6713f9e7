"""Further signals of the recording beside the force: which, and their lines."""
