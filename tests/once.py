"""Surveys that several tests look at, solved once for all workers of a run."""

from __future__ import annotations

import fcntl
import hashlib
import os
import pickle
from pathlib import Path

from service.settings import Settings
from service.survey.model import Survey
from service.usecases.place import place
from service.usecases.results import Placement

SOLVED = "SOLVED_BY_TESTS"
"""Names the directory in the environment."""


def placed(survey: Survey, settings: Settings) -> Placement:
    """``place``, or what another test of this run got from it for an equal survey."""
    asked = hashlib.sha256(pickle.dumps((survey, settings))).hexdigest()
    with (Path(os.environ[SOLVED]) / asked).open("a+b") as kept:
        fcntl.flock(kept, fcntl.LOCK_EX)
        kept.seek(0)
        if told := kept.read():
            found: Placement = pickle.loads(told)
            return found
        answer = place(survey, settings)
        kept.write(pickle.dumps(answer))
    return answer
