"""Measurements, one file a subject, each beside its reference in the same run: ``make bench``."""
