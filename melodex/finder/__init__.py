"""Every use of melodex as one plain function."""
