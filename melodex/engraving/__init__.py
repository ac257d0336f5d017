"""Songs as pictures with sound."""
