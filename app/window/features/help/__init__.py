"""Every action with its key, and the search for one."""
