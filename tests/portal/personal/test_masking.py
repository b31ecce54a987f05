"""No personal link in a log."""

import logging
from typing import Any

import pytest

from portal.personal.masking import HideLinks

TOKEN = "Zq3nonce_-x.S1gnature"  # noqa: S105 -- looks like one


@pytest.mark.parametrize(
    ("message", "args", "written"),
    [
        ("Internal Server Error: %s", (f"/my/{TOKEN}",), "Internal Server Error: /my/***"),
        (
            '"%s" %s %s',
            (f"GET /my/{TOKEN}/withdrawal?record=V00 HTTP/1.1", "200", "12"),
            '"GET /my/***/withdrawal?record=V00 HTTP/1.1" 200 12',
        ),
        (f"Forbidden: /my/{TOKEN}", (), "Forbidden: /my/***"),
        ("Not Found: %s", ("/my/visits",), "Not Found: /my/***"),
        ("Not Found: %s 100%%", ("/terms",), "Not Found: /terms 100%"),
    ],
)
def test_link_is_masked_in_every_line(message: str, args: tuple[Any, ...], written: str) -> None:
    record = logging.LogRecord("django.server", logging.INFO, "", 0, message, args, None)

    assert HideLinks().filter(record) is True

    assert record.getMessage() == written


def test_every_handler_of_the_settings_masks(settings: Any) -> None:
    assert settings.LOGGING["handlers"]
    for handler in settings.LOGGING["handlers"].values():
        assert "links" in handler["filters"]
    assert settings.LOGGING["loggers"]["django.server"]["propagate"] is False
