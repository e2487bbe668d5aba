"""What a gunicorn worker of the tests serves: the application over hand-made use cases."""

from __future__ import annotations

import time
from dataclasses import replace

from flask import Flask

from service.app import create_app
from service.settings import Settings
from service.survey.model import Survey
from service.usecases.results import Placement
from tests.api import fakes
from tests.api.fakes import FAKES

LONG_S = 1.5


def made() -> Flask:
    """Called in the worker, after the fork."""
    return create_app(Settings(), FAKES)


def slow() -> Flask:
    """The same, but each placement takes a while."""

    def place(survey: Survey, settings: Settings) -> Placement:
        time.sleep(LONG_S)
        return fakes.place(survey, settings)

    return create_app(Settings(), replace(FAKES, place=place))
