"""Who may come in, and what he is given."""
