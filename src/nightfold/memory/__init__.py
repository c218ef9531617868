"""Words for letter pairs: candidates, own words, what is covered, phrases, and breaks that make good pairs."""
