"""A browser without a window, driven from outside, that reaches this machine alone; and an accessibility checker."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import resources, util
from pathlib import Path
from threading import Thread
from typing import Any

import pytest
from flask import Flask
from werkzeug.serving import make_server

PROGRAMS = ("chromium", "chromedriver", "curl")
PACKAGES = ("selenium", "axe_core_python")
WAIT_S = 60
_DEAD_END = "MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"
"""Chromium's rule for names of hosts: none is found but this machine, so a page that asks elsewhere fails."""


def lacking() -> list[str]:
    """Programs and packages that are not there."""
    return [p for p in PROGRAMS if shutil.which(p) is None] + [p for p in PACKAGES if util.find_spec(p) is None]


_WHY = f"no browser test: {', '.join(lacking())} cannot be found (Debian: chromium, chromium-driver, curl)"
needs_browser = pytest.mark.skipif(bool(lacking()), reason=_WHY)


@contextmanager
def browser(downloads: Path | None = None) -> Iterator[Any]:
    """Chromium without a window."""
    from selenium.webdriver import Chrome, ChromeOptions
    from selenium.webdriver.chrome.service import Service

    options = ChromeOptions()
    options.binary_location = shutil.which("chromium") or ""
    for argument in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
                     f"--host-resolver-rules={_DEAD_END}", "--window-size=1200,900"):  # fmt: skip
        options.add_argument(argument)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    if downloads is not None:
        options.add_experimental_option("prefs", {"download.default_directory": str(downloads)})
    driver = Chrome(options=options, service=Service(shutil.which("chromedriver")))
    driver.set_script_timeout(WAIT_S)
    try:
        yield driver
    finally:
        driver.quit()


@contextmanager
def serving(app: Flask) -> Iterator[str]:
    """The application on a free port; its address."""
    server = make_server("127.0.0.1", 0, app, threaded=True)
    thread = Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def violations(driver: Any, *within: str) -> list[str]:
    """What the accessibility checker finds wrong with the page that is shown, or with these parts of it: its rules for
    WCAG 2.1 A and AA and what it calls best practice."""
    script = resources.files("axe_core_python").joinpath("axe.min.js").read_text(encoding="utf-8")
    driver.execute_cdp_cmd("Page.setBypassCSP", {"enabled": True})
    driver.execute_script(script)
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"]}
    parts = {"include": [[part] for part in within or ("html",)]}
    told = driver.execute_async_script("axe.run(arguments[0], arguments[1]).then(arguments[2])", parts, rules)
    assert len(told["passes"]) > 10
    return [f"{v['id']}: {v['help']}: {n['html'][:160]}" for v in told["violations"] for n in v["nodes"]]


def complaints(driver: Any) -> list[str]:
    """What the browser's console holds: scripts that failed, requests that a policy forbade or nobody answered."""
    return [entry["message"] for entry in driver.get_log("browser") if entry["level"] in ("SEVERE", "WARNING")]
