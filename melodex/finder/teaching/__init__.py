"""What a repertoire teaches: material, known shares, plans, audits."""
