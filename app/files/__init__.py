"""Files on the disk: written whole, held by one process, looked at with care, tidied away."""
