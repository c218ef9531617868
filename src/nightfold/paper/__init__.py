"""Pictures and pages: what is printed, shown and handed round."""
