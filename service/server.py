"""Runs the service under gunicorn from this process, with the settings of ``gunicorn_conf``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from gunicorn.app.wsgiapp import WSGIApplication  # type: ignore[import-untyped]

CONFIGURATION = Path(__file__).with_name("gunicorn_conf.py")


class _Server(WSGIApplication):  # type: ignore[misc]  # gunicorn has no types
    """gunicorn with our configuration file, deaf to the command line that started this process."""

    def __init__(self, bind: str) -> None:
        self._bind = bind
        super().__init__()

    def load_config(self) -> None:
        self.load_config_from_file(str(CONFIGURATION))
        self.cfg.set("bind", self._bind)
        self.app_uri = self.cfg.wsgi_app


def serve(host: str, port: int) -> None:
    """Answer requests until stopped by a signal; the application is made in the worker, after the fork."""
    server: Any = _Server(f"[{host}]:{port}" if ":" in host else f"{host}:{port}")
    server.run()
