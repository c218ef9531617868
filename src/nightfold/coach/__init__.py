"""Coaching: marking a memo, and finding out why an attempt failed."""
