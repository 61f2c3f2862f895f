"""What an act raises when it cannot be done as things stand; views show it to whoever asked for the act."""


class Refused(Exception):
    """An act is refused; each reason is a sentence that tells the person why and what to do."""

    def __init__(self, *reasons):
        self.reasons = reasons
        super().__init__(" ".join(reasons))
