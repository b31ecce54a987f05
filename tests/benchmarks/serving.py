"""Serve our faces, and the other sides of the ratios, by one and the same small server.

It prints its port. A path ``/static/N`` is answered with N bytes that are ready, by nothing but the
server; ``/plain/...`` by DRF as it is used out of the box.
"""

import os
import sys
from collections.abc import Iterable
from functools import lru_cache
from socketserver import ThreadingMixIn
from typing import Any
from wsgiref.simple_server import WSGIServer

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "portal.settings")
django.setup()

from django.conf import settings  # noqa: E402 -- needs what is set up above
from django.core.handlers.wsgi import WSGIHandler  # noqa: E402
from django.core.servers.basehttp import WSGIRequestHandler  # noqa: E402

Start = Any  # as WSGI has it


class _Threaded(ThreadingMixIn, WSGIServer):
    daemon_threads = True


class _Quiet(WSGIRequestHandler):
    protocol_version = "HTTP/1.1"
    disable_nagle_algorithm = True  # else a body waits for the receipt of its head

    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002 -- its name in the library
        """Say nothing."""


@lru_cache
def _ready(size: int) -> bytes:
    return b"x" * size


def application(environ: dict[str, Any], start: Start) -> Iterable[bytes]:
    """Answer a request."""
    path: str = environ["PATH_INFO"]
    if not path.startswith("/static/"):
        return _ours(environ, start)
    body = _ready(int(path.rpartition("/")[2]))
    start("200 OK", [("Content-Type", "text/plain"), ("Content-Length", str(len(body)))])
    return [body]


settings.ROOT_URLCONF = "tests.benchmarks.urls"
_ours = WSGIHandler()


def main() -> None:
    """Serve until ended."""
    server = _Threaded(("127.0.0.1", 0), _Quiet)
    server.set_app(application)
    sys.stdout.write(f"{server.server_port}\n")
    sys.stdout.flush()
    server.serve_forever()


if __name__ == "__main__":
    main()
