"""Headers that pages carry whichever view made them."""

POLICY = "; ".join(
    (
        "default-src 'self'",
        "img-src 'self' data:",
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    )
)


class ContentSecurityPolicy:
    """Only our own scripts and styles run: an uploaded file or a typed name cannot add one."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        return response


class KeptByNoBrowser:
    """What only people who are signed in may see is kept by no browser and no proxy, for the next at that machine.

    Where a view said itself how long its answer holds, that stands; what anybody may see is left alone. The day sheet's
    worker keeps its pages all the same, for one person, because it is told to.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        response = self.get_response(request)
        if not _public(request.resolver_match):
            response.headers.setdefault("Cache-Control", "private, no-store")
        return response


def _public(match):
    return match is not None and not getattr(match.func, "login_required", True)
