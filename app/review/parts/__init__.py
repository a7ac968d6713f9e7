"""The kinds of things a review holds, one module each, and the state they make together."""
