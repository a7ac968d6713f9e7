"""What can be done: the one table of actions, and the menus, keys and search made from it."""
