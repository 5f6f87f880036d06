"""Settings of the web server, for `gunicorn studio.wsgi --config studio/gunicorn.py`."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

bind = f"0.0.0.0:{os.environ.get('PORT') or 8000}"
#: A request holds a thread from its first byte to its answer's last: nginx takes slow callers in front.
worker_class = "gthread"
workers = int(os.environ.get("WEB_CONCURRENCY") or 2)
threads = 8
#: A worker that says nothing for this long is replaced [s].
timeout = 60
#: What is being answered when the server is stopped is finished [s].
graceful_timeout = 25
keepalive = 15
#: Workers are renewed now and then, not all at once.
max_requests = 5000
max_requests_jitter = 500
#: Limits on what a client may send before Django sees it.
limit_request_line = 4094
limit_request_fields = 60
limit_request_field_size = 8190
#: The application logs each request by its route, without addresses or tokens.
accesslog = None
errorlog = "-"
if os.environ.get("OVERMANTEL_ENV") == "production":
    #: The server's own lines are of the application's shape.
    logconfig_dict = {
        "filters": {"request_id": {"()": "studio.logs.RequestIdFilter"}},
        "formatters": {"generic": {"()": "studio.logs.JsonFormatter"}},
        "handlers": {
            "error_console": {
                "class": "logging.StreamHandler",
                "formatter": "generic",
                "filters": ["request_id"],
                "stream": "ext://sys.stderr",
            }
        },
        "root": {"level": "INFO", "handlers": ["error_console"]},
        "loggers": {
            "gunicorn.error": {"level": "INFO", "handlers": ["error_console"], "propagate": False},
            # Whoever configures the server's log gets its list of addresses, too, unless it is closed.
            "gunicorn.access": {"level": "CRITICAL", "handlers": [], "propagate": False},
        },
    }
control_socket_disable = True
worker_tmp_dir = "/dev/shm" if Path("/dev/shm").is_dir() else None
forwarded_allow_ips = "*" if int(os.environ.get("TRUSTED_PROXIES") or 0) else "127.0.0.1"


def pre_request(worker: Any, req: Any) -> None:
    """The server's own lines about a request have its id, which the application is told."""
    from studio.logs import id_for, request_id

    own = id_for(dict(req.headers).get("X-REQUEST-ID", ""))
    req.headers = [(name, value) for name, value in req.headers if name != "X-REQUEST-ID"] + [("X-REQUEST-ID", own)]
    request_id.set(own)


def post_request(worker: Any, req: Any, environ: Any, resp: Any) -> None:
    """What the thread says next is of no request, until it has read one."""
    from studio.logs import request_id

    request_id.set("-")


def child_exit(server: Any, worker: Any) -> None:
    """Metrics of a worker that ended are kept in the sums, not as a live process."""
    if os.environ.get("PROMETHEUS_MULTIPROC_DIR"):
        from prometheus_client import multiprocess

        multiprocess.mark_process_dead(worker.pid)  # type: ignore[no-untyped-call]
