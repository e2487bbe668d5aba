"""What a gunicorn worker of the tests serves: the application over hand-made use cases."""

from __future__ import annotations

from flask import Flask

from service.app import create_app
from service.settings import Settings
from tests.api.fakes import FAKES


def made() -> Flask:
    """Called in the worker, after the fork."""
    return create_app(Settings(), FAKES)
