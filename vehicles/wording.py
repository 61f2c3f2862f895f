"""Labels inside a sentence."""


def in_a_sentence(label):
    """A label as it stands in the middle of a sentence: its capital goes, an abbreviation keeps its own.

    >>> in_a_sentence("Front overhang"), in_a_sentence("GVM afterwards"), in_a_sentence("")
    ('front overhang', 'GVM afterwards', '')
    """
    return label if label[:2].isupper() else label[:1].lower() + label[1:]
