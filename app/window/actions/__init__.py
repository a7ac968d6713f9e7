"""What a feature is, and the one table of actions that menus, keys and search are made from."""
