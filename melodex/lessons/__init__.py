"""Order songs into lesson plans, and compute what students already know."""
