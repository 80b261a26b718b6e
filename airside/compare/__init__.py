"""Before and after: the change, brought to the same conditions, and whether the data support it."""
