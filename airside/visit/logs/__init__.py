"""Logged data: logger files, the minutes that count, and what they say."""
