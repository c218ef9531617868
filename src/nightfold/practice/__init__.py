"""Attempts, drills, and the logbook that keeps them."""
