class Refused(Exception):
    """The act is not possible; the text says why, in a sentence."""
