"""How the shop database came to its shape, one step for each version."""
