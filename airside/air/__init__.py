"""Moist air: properties, states, processes, cross-checks."""
