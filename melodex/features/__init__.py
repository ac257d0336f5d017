"""Songs to transposition-invariant arrays."""
