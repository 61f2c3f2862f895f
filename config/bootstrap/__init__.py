"""From a bare Python to a working job book. Standard library only: nothing else is installed yet."""
