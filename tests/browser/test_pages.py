"""The front page, the documentation and the report in a real browser that reaches nobody but this machine."""

from __future__ import annotations

import io
import json
import shlex
import subprocess
from base64 import b64decode
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

from service.app import create_app
from service.http.sheets import page_bytes
from service.settings import Settings
from service.sheets.paper import A4_WIDE
from tests.browser.browsers import WAIT_S, browser, complaints, needs_browser, serving, violations
from tests.property.depth import deep
from tests.scenarios import hostile
from tests.scenarios.scenarios import PLANS
from tests.scenarios.sheet_books import book

pytestmark = [needs_browser, pytest.mark.filterwarnings("ignore::ResourceWarning")]
PLAN = PLANS / "slab_house.json"
DROP = """
const data = new DataTransfer();
data.items.add(new File([arguments[0]], arguments[1]));
const drop = new DragEvent('drop', {dataTransfer: data, cancelable: true});
document.getElementById('drop').dispatchEvent(drop);
"""
"""What a hand does that drops a file."""
SHOWN = (("slab_house", 1200), ("hostile", 390), ("slab_house", 390))[: deep(3, 2)]
"""Plans and the widths of screens; the hostile one is the same with longer names."""
TABLES_TOO_WIDE = """
return [...document.querySelectorAll('table')].filter((t) => t.scrollWidth > t.parentElement.clientWidth + 1)
    .map((t) => t.caption.textContent)
"""


@pytest.fixture(scope="module")
def shown(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Any, str, Path]]:
    """A browser, the service's address, and where downloads go."""
    downloads = tmp_path_factory.mktemp("downloads")
    with serving(create_app(Settings())) as address, browser(downloads) as driver:
        yield driver, address, downloads


def element(driver: Any, name: str) -> Any:
    """An element by its id."""
    return driver.find_element("id", name)


def until(what: Any, holds: Callable[[Any], object]) -> None:
    """Wait until something holds; an exception if it does not for long."""
    from selenium.webdriver.support.ui import WebDriverWait

    WebDriverWait(what, WAIT_S).until(holds)


def status_of(driver: Any, done: str) -> str:
    """The status once it holds some words."""
    until(driver, lambda d: done in element(d, "status").text)
    return str(element(driver, "status").text)


def send(driver: Any, text: str) -> None:
    """Put a survey into the box, as a paste does, and send it."""
    driver.execute_script("document.getElementById('survey').value = arguments[0]", text)
    element(driver, "draw").click()


def test_a_pasted_plan_is_drawn(shown: tuple[Any, str, Path]) -> None:
    """Verdict, all sheets as images that were really drawn, documents to fetch; without a complaint, and accessible."""
    driver, address, downloads = shown
    driver.get(f"{address}/")
    assert violations(driver) == []
    send(driver, PLAN.read_text("utf-8"))
    assert "Lawful, and proven the cheapest" in status_of(driver, "Lawful")
    images = driver.find_elements("css selector", "#sheets img")
    assert len(images) == len(book("slab_house").pages)
    driver.execute_async_script("Promise.all([...document.images].map((i) => i.decode())).then(arguments[0])")
    assert all(image.get_property("naturalWidth") > 500 for image in images)
    assert all(image.get_attribute("alt") for image in images)
    assert violations(driver) == []
    driver.find_element("xpath", "//button[contains(., 'CSV')]").click()
    status_of(driver, "Lawful")
    assert wait_for(downloads / "bill.csv").startswith("kind,trade")
    assert complaints(driver) == []


def wait_for(path: Path) -> str:
    """Text of a download once it is there."""
    until(path, lambda p: p.is_file() and p.stat().st_size)
    return path.read_text("utf-8")


def test_a_dropped_file_is_taken_and_a_shell_does_the_same(shown: tuple[Any, str, Path], tmp_path: Path) -> None:
    """The command that is shown, run in a shell, fetches the drawings."""
    driver, address, _ = shown
    named = tmp_path / "it's a plan; $(no).json"
    named.write_bytes(PLAN.read_bytes())
    driver.get(f"{address}/")
    driver.execute_script(DROP, named.read_text("utf-8"), named.name)
    until(driver, lambda d: element(d, "survey").get_property("value") and "plan;" in element(d, "curl").text)
    command = element(driver, "curl").text
    assert shlex.split(command)[:2] == ["curl", "-s"]
    subprocess.run(["sh", "-c", command], cwd=tmp_path, check=True, timeout=WAIT_S)
    drawn = ElementTree.parse(tmp_path / "sheets.svg").getroot()
    assert len(drawn) == len(book("slab_house").pages)


def test_faults_are_told_with_their_places(shown: tuple[Any, str, Path]) -> None:
    """Every one, as text; a file that is no JSON at all too."""
    driver, address, _ = shown
    driver.get(f"{address}/")
    send(driver, json.dumps({"name": "<img src=x onerror=alert(1)>", "units": "us"}))
    status_of(driver, "faults")
    assert "#/gas: this field is compulsory" in element(driver, "faults").text
    assert violations(driver) == []
    send(driver, "no JSON")
    assert "not strict JSON" in status_of(driver, "strict")


def test_the_example_is_solved(shown: tuple[Any, str, Path]) -> None:
    """For those who have no plan at hand."""
    driver, address, _ = shown
    driver.get(f"{address}/")
    element(driver, "example").click()
    until(driver, lambda d: element(d, "survey").get_property("value"))
    element(driver, "draw").click()
    assert "Lawful" in status_of(driver, "Lawful")


def test_the_documentation_shows_every_path(shown: tuple[Any, str, Path]) -> None:
    """Made in the browser from the description, accessible, without a complaint."""
    driver, address, _ = shown
    complaints(driver)
    driver.get(f"{address}/docs")
    until(driver, lambda d: d.find_elements("css selector", "#main section"))
    paths = {e.text for e in driver.find_elements("css selector", ".path")}
    described = create_app(Settings()).test_client().get("/openapi.json").get_json()["paths"]
    assert set(described) <= paths
    assert violations(driver, "header", "nav", "#post-v1-sheets", "#schema-Placement") == []
    assert complaints(driver) == []


def sideways(driver: Any, width: int) -> bool:
    """Whether the page that is shown is wider than a screen of that width [CSS px]."""
    phone = {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": width < 500}
    driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", phone)
    try:
        return bool(driver.execute_script("return document.documentElement.scrollWidth") > width)
    finally:
        driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


@pytest.mark.parametrize("path", ["/", "/docs"])
def test_no_page_scrolls_sideways(shown: tuple[Any, str, Path], path: str) -> None:
    """On a desk and on a phone, the long names of members too."""
    driver, address, _ = shown
    driver.get(f"{address}{path}")
    until(driver, lambda d: d.find_elements("css selector", "main section"))
    assert not [width for width in (1200, 390) if sideways(driver, width)]


def test_commands_of_the_documentation_can_be_run(shown: tuple[Any, str, Path]) -> None:
    """As they stand there; parameters stand beside them."""
    driver, address, _ = shown
    driver.get(f"{address}/docs")
    until(driver, lambda d: d.find_elements("css selector", "#main section"))
    command = element(driver, "get-v1-limits").find_element("css selector", "pre").text
    told = subprocess.run(["sh", "-c", command], capture_output=True, check=True, timeout=WAIT_S).stdout
    assert json.loads(told) == create_app(Settings()).test_client().get("/v1/limits").get_json()
    assert "wait=N" in element(driver, "post-v1-placements").text


def test_an_empty_box_is_not_sent(shown: tuple[Any, str, Path]) -> None:
    """The browser asks for a survey; the answer of a survey comes into view."""
    driver, address, _ = shown
    driver.get(f"{address}/")
    element(driver, "draw").click()
    assert element(driver, "status").text == "Nothing sent yet."
    send(driver, "{")
    status_of(driver, "strict")
    place = "const r = document.getElementById('status').getBoundingClientRect(); return [r.top, r.bottom, innerHeight]"
    top, bottom, high = driver.execute_script(place)
    assert top >= 0 and bottom <= high


@pytest.mark.parametrize(("plan", "width"), SHOWN)
def test_the_report_is_accessible_and_asks_nobody(
    shown: tuple[Any, str, Path], tmp_path: Path, plan: str, width: int
) -> None:
    """From a file, on a desk and on a phone: no request, no complaint, nothing that scrolls the page or a table
    sideways."""
    driver, _, _ = shown
    made = hostile.book("slab_house") if plan == "hostile" else book(plan)
    report = tmp_path / "report.html"
    report.write_bytes(page_bytes(made))
    driver.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": width < 500},
    )
    complaints(driver)
    try:
        driver.get(report.as_uri())
        assert driver.execute_script("return performance.getEntriesByType('resource').length") == 0
        assert driver.execute_script("return document.documentElement.scrollWidth") <= width
        assert driver.execute_script(TABLES_TOO_WIDE) == []
        assert complaints(driver) == []
        assert violations(driver) == []
    finally:
        driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def test_the_report_prints_each_drawing_on_a_page_of_its_own(shown: tuple[Any, str, Path], tmp_path: Path) -> None:
    """On A4 on its side, as large as it says that it is, so that letters are no smaller than on the sheet itself; the
    rest upright."""
    driver, _, _ = shown
    report = tmp_path / "report.html"
    report.write_bytes(page_bytes(book("slab_house")))
    driver.get(report.as_uri())
    told = driver.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})
    pages = PdfReader(io.BytesIO(b64decode(told["data"]))).pages
    sheets = book("slab_house").pages
    sideways = [p for p in pages if p.mediabox.width > p.mediabox.height]
    assert len(sideways) == len(sheets) < len(pages)
    for printed, sheet in zip(sideways, sheets, strict=True):
        assert "".join(sheet.title.split()) in "".join(printed.extract_text().split())
    driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    wide = driver.execute_script(
        "return [...document.querySelectorAll('.drawing svg')].map((s) => s.getBoundingClientRect().width)"
    )
    driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    per_mm = 96 / 25.4
    assert all(0.99 <= w / per_mm / A4_WIDE <= 1.0 for w in wide)
