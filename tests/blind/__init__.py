"""Tests of the craft, judged by a second cube of their own (``referee``)."""
