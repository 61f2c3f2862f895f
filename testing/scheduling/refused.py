"""What a planning act raises when it is not possible."""


class Refused(Exception):
    """Carries one sentence for each reason."""

    def __init__(self, *reasons):
        self.reasons = reasons
        super().__init__(" ".join(reasons))
