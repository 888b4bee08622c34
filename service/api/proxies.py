"""X-Forwarded-* is believed from the proxies that the settings name, and dropped from all others.

What is believed is the scheme, the host (so that it is held to the trusted ones) and the address.
No link is made of any of them: those begin with CLACKBOX_PUBLIC_ADDRESS.
"""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from werkzeug.middleware.proxy_fix import ProxyFix

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment


class NamedProxies:
    """The application as it is reached through the proxies at `addresses`, or by none."""

    def __init__(self, application: "WSGIApplication", addresses: tuple[str, ...]) -> None:
        self._application = application
        self._addresses = frozenset(addresses)
        self._believing = ProxyFix(application, x_for=1, x_proto=1, x_host=1)

    def __call__(self, environ: "WSGIEnvironment", start: "StartResponse") -> Iterable[bytes]:
        if environ.get("REMOTE_ADDR") in self._addresses:
            return self._believing(environ, start)
        for name in [each for each in environ if each.startswith("HTTP_X_FORWARDED_")]:
            del environ[name]
        environ.pop("HTTP_FORWARDED", None)
        return self._application(environ, start)
