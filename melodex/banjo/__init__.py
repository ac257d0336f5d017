"""Five-string tablature: where a melody lies on the neck, and how the right hand rolls it."""
