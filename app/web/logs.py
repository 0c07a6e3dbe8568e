"""Plain log lines, one per event, as `key=value` pairs, with every token struck out before it is written."""

from __future__ import annotations

import logging
import re
import sys
from datetime import UTC, datetime

TOKEN = re.compile(r"(?<![\w-])[\w-]{43}(?![\w-])")
"""What `access.sessions.new_token` makes: links, codes, cookies and API tokens all look like this."""
PASSWORD_IN_URL = re.compile(r"(\w+://[^:/\s@]+):[^@/\s]+@")


def without_secrets(text: str) -> str:
    """The text with tokens and passwords of database addresses struck out."""
    return PASSWORD_IN_URL.sub(r"\1:***@", TOKEN.sub("***", text))


class PlainLines(logging.Formatter):
    """`at=... level=... from=... say="..."`; a traceback follows on lines of its own."""

    def format(self, record: logging.LogRecord) -> str:
        at = datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds")
        said = record.getMessage().replace('"', "'").replace("\n", " | ")
        line = f'at={at} level={record.levelname.lower()} from={record.name} say="{said}"'
        if record.exc_info:
            line += "\n" + self.formatException(record.exc_info)
        return without_secrets(line)


def start_logging(level: int = logging.WARNING) -> None:
    """Write log lines of the app and the server to standard error. Requests are not logged: paths may hold tokens."""
    lines = logging.StreamHandler(sys.stderr)
    lines.setFormatter(PlainLines())
    logging.basicConfig(level=level, handlers=[lines], force=True)
    for name in ("uvicorn", "uvicorn.error", "uvicorn.access"):
        logging.getLogger(name).handlers.clear()
        logging.getLogger(name).propagate = name != "uvicorn.access"
