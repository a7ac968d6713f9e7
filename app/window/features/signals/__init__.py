"""Whatever else the force file holds, beside the force."""
