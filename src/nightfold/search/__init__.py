"""What takes computing: solving, sampling, finding.  Thin Python over the native core; imports only ``cube``."""
