"""What a gunicorn worker of the tests serves: the application over hand-made use cases."""

from __future__ import annotations

import time
from dataclasses import replace

from flask import Flask

from service.app import create_app
from service.http.apart import Apart
from service.settings import Settings
from service.survey.model import Survey
from service.usecases.results import Placement
from tests.api import fakes
from tests.api.fakes import FAKES

LONG_S = 1.5


def made() -> Flask:
    """Called in the worker, after the fork."""
    return create_app(Settings.from_environment(), solver=Apart(Settings.from_environment(), FAKES))


def slow() -> Flask:
    """The same, but each placement takes a while."""

    settings = Settings.from_environment()
    return create_app(settings, solver=Apart(settings, replace(FAKES, place=slow_place)))


def slow_place(survey: Survey, settings: Settings) -> Placement:
    """As long as the name of the plan says; one of another name takes its time."""
    time.sleep(float(survey.name) if survey.name.isdigit() else LONG_S)
    return fakes.place(survey, settings)
