"""Many systems: each with its visit file and its logs, one row a steady stretch, and a summary a system."""
