"""Counting what the hands do, and how long a practised person takes for it."""

from dataclasses import dataclass, field

# Keystroke-level model, Card, Moran and Newell, Communications of the ACM 23 (1980), table 1:
# one key of an average non-secretary typist, and the mental preparation before a unit of thought.
KEY_S, MENTAL_S = 0.28, 1.35

FOCUSED = "(document.activeElement.labels?.[0] || document.activeElement).innerText.trim()"


@dataclass
class Keys:
    """A keyboard and nothing else: no mouse, no script, no label that finds a field."""

    page: object
    pressed: int = 0
    thoughts: int = 0
    log: list = field(default_factory=list)

    def type(self, text):
        """Think once, then type it, into whatever has the focus."""
        self.thoughts += 1
        self.pressed += len(text)
        self.log.append(text)
        self.page.keyboard.type(text)

    def press(self, *names):
        for name in names:
            self.pressed += 1
            self.log.append(name)
            self.page.keyboard.press(name)

    def enter(self):
        """Enter, and wait for what it brings; deciding to press it is a thought of its own."""
        self.thoughts += 1
        self.press("Enter")
        self.page.wait_for_load_state()

    @property
    def seconds(self):
        return self.pressed * KEY_S + self.thoughts * MENTAL_S

    def at(self, label):
        """Wait until the focus stands at what is called so; a person would see it and go on."""
        script = f"() => ({FOCUSED}).startsWith({label!r})"
        self.page.wait_for_function(script)
