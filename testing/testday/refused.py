class Refused(Exception):
    """Something cannot be done on this test day as it stands; the text says why and what to do."""
