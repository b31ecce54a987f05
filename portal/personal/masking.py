"""Keep personal links out of the logs: whoever reads a log must not be able to withdraw."""

import logging
import re

LINK = re.compile(r"/my/[^/?#\s\"']+")


class HideLinks(logging.Filter):
    """Write a personal address without its link."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let every record through, masked where it names a link."""
        text = record.getMessage()
        if LINK.search(text):
            record.msg, record.args = LINK.sub("/my/***", text), ()
        return True
