"""Application over hand-made use cases."""

from __future__ import annotations

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from tests.api.fakes import FAKES


@pytest.fixture(scope="session")
def app() -> Flask:
    """Application with the default limits."""
    return create_app(Settings(), FAKES)


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    """Client without a socket."""
    return app.test_client()
