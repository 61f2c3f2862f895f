"""Where a person's work starts. Apps above add the landing page of their own people."""

_pages = []


def register(permission, url_name):
    """Whoever holds the permission lands there, unless an earlier registration took them."""
    _pages.append((permission, url_name))


def landing_page(user):
    return next((url_name for permission, url_name in _pages if user.has_perm(permission)), None)
