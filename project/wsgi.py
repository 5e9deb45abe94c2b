"""What the web server calls. It refuses to serve an unguarded or unready database."""

from __future__ import annotations

import os
import sys

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "project.settings")

application = get_wsgi_application()


def refuse_unguarded() -> None:
    """Stop the start where a written-once table stands without its triggers."""
    from django.db import connection

    from project.audit.write_once import faults

    found = faults(connection)
    connection.close()  # a worker forked from here opens its own
    if found:
        sys.exit(f"Not started: {'; '.join(found)}")


refuse_unguarded()
