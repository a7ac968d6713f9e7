"""The first screen: whose turn it is."""
