"""The intake's terminal of a twin-pipe vent in the checker: rules, listing, way, length and bill.

Distances are those of the reference notes (DV5 read, snow common practice, British Columbia read) or of the test's own
listing.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.building.build import build
from service.check.prices import quantities
from service.design import Design, Finding, Part, Service, Terminal, Verdict
from service.rules.catalogue import heaters, price_book
from service.rules.local_layers import local_amendments
from service.rules.rulesets import rule_set
from service.survey.equipment import Heater
from service.survey.intake_listing import IntakeListing, IntakeSide, LengthBasis
from service.survey.model import KeepOut, KeepOutKind, Opening, OpeningKind, Regulator, Survey
from service.trades.vent import elbows_counted, equivalent_mm, exhaust_limit, within_listing
from tests.unit.check_house import HEATER, OUT, W, broken, design, house, judged, site, vent

IN = 25.4
LISTED = IntakeListing(40, 60, 305, (IntakeSide.LEFT, IntakeSide.RIGHT, IntakeSide.BELOW), LengthBasis.COMBINED)
X, GRADE = 1500, -150
TOP = 1200 + HEATER.height_mm
Z = TOP + HEATER.vent_rise_mm


def twin(basis: LengthBasis = LengthBasis.COMBINED, **changes: object) -> Heater:
    """The heater with a second pipe to its vent, its rise as before."""
    intake = replace(LISTED, length_basis=basis, **changes)  # type: ignore[arg-type]  # fields by name
    plain = replace(HEATER, vent=replace(HEATER.vent, system="tw_pp_3", intake=intake))
    first = plain.vent.first_elbow_mm + HEATER.vent_rise_mm - plain.vent_rise_mm
    return replace(plain, vent=replace(plain.vent, first_elbow_mm=first))


def twin_design(at: Survey, ds: int = -305, dz: int = 0, heater: Heater | None = None) -> Design:
    """The lawful design with an intake so far from its exhaust, along the facade and up."""
    heater = heater or twin()
    given = design(at, heater=heater)
    place = Terminal("F1", given.terminal.s_mm + ds, given.terminal.z_mm + dz)
    return replace(given, intake=place, given=given.given - {Part.COST})


def with_heater(**changes: object) -> Survey:
    """The house with the twin-pipe heater."""
    return house(heaters=(twin(),), **changes)


def of_intake(at: Survey, given: Design) -> dict[str, Finding]:
    """Findings on the intake by rule; each rule speaks of one thing in these houses."""
    return {f.rule_id: f for f in judged(at, given) if f.subject == "intake"}


def test_lawful_beside_and_below() -> None:
    """Level with the exhaust on either side or straight below it; above it is not listed."""
    at = with_heater()
    for ds, dz in ((-305, 0), (305, 0), (0, -305)):
        assert broken(at, twin_design(at, ds, dz)) == set()
    assert broken(at, twin_design(at, 0, 305)) == {"intake.side"}


def test_intake_ten_inches_above_grade_fails_though_the_exhaust_keeps_its_distance() -> None:
    """Check value 17 of the notes (DV5, read): US-2018, bottom of the intake 10 in over grade, of the exhaust 14 in."""
    at = with_heater(site=site(rule_set="us-2018"))
    low = twin(apart_mm=round(4 * IN), terminal_radius_mm=40)
    low = replace(low, vent=replace(low.vent, terminal_radius_mm=40))
    given = design(at, heater=low)
    exhaust = Terminal("F1", X + 200, GRADE + 40 + round(14 * IN + 0.5))
    lower = replace(given, terminal=exhaust, intake=replace(exhaust, z_mm=exhaust.z_mm - round(4 * IN)), routes=())
    lower = replace(lower, given=frozenset({Part.TERMINAL, Part.INTAKE}))
    assert broken(at, lower) == {"US-DV5"}
    finding = of_intake(at, lower)["US-DV5"]
    assert finding.required_mm == 305 and finding.actual_mm == pytest.approx(10 * IN, abs=1)
    raised = replace(lower, intake=replace(exhaust, s_mm=exhaust.s_mm - 305))
    assert broken(at, raised) == set()


def test_snow_binds_the_intake() -> None:
    """12 in over the expected snow, for the intake as for the exhaust (common practice)."""
    at = with_heater(site=site(snow_depth_mm=Z - 70 - 305 - GRADE))
    assert "SNOW" not in broken(at, twin_design(at)) and "IN-SNOW" not in broken(at, twin_design(at))
    assert broken(at, twin_design(at, 0, -305)) == {"IN-SNOW"}


def test_ten_feet_from_a_regulator_in_british_columbia() -> None:
    """Advice in Canada, binding by the local layer (read): 3,000 mm in SI, measured to the intake alone."""
    (layer,) = [a for a in local_amendments(rule_set("ca-b149")) if a.rule_id == "CA-BC1"]
    there = Regulator("reg", (X + 200 + 305 + 60 + 2500, -200, Z), 10_000.0)
    plain = with_heater(site=site(rule_set="ca-b149", regulators=(there,)))
    assert of_intake(plain, twin_design(plain, 305))["CA-BC1"].verdict is Verdict.ADVICE
    bound = replace(plain, site=replace(plain.site, amendments=(layer.amendment(use_si=True),)))
    finding = of_intake(bound, twin_design(bound, 305))["CA-BC1"]
    assert finding.verdict is Verdict.FAIL and finding.required_mm == 3000
    assert of_intake(bound, twin_design(bound, -305))["CA-BC1"].verdict is Verdict.PASS


def test_nearer_than_the_listing_asks_fails() -> None:
    """305 mm from centre to centre are enough, 304 are not."""
    at = with_heater()
    assert broken(at, twin_design(at, -304)) == {"intake.apart"}


def test_slanting_place_is_not_known_to_be_allowed() -> None:
    """Neither level with the exhaust nor straight under it: only the listing knows, which is no pass."""
    at = with_heater()
    finding = of_intake(at, twin_design(at, -305, -100))["intake.side"]
    assert finding.verdict is Verdict.UNKNOWN and finding.missing


def test_missing_and_unwanted_intakes_fail() -> None:
    """A whole twin-pipe design names its intake, one with another vent has none."""
    at = with_heater()
    assert "intake.given" in broken(at, replace(twin_design(at), intake=None))
    plain = house()
    assert broken(plain, replace(design(plain), intake=Terminal("F1", X, Z))) == {"intake.given"}


def test_way_along_the_wall_passes_no_opening_and_no_keep_out() -> None:
    """A slot of a window between the two holes, or a thing before the wall there."""
    slot = Opening("slot", OpeningKind.WINDOW, (X + 200, 0), (X + 260, 0), 1900, 2300, operable=False)
    wide = twin(apart_mm=500)
    at = house(heaters=(wide,), openings=(slot,))
    assert "intake.run" in broken(at, twin_design(at, 500, 0, wide))
    assert "intake.run" not in broken(at, twin_design(at, -500, 0, wide))
    post = KeepOut("post", KeepOutKind.OTHER, ((X + 150, 0), (X + 200, 0), (X + 200, 40), (X + 150, 40)), 2080, 2160)
    at = house(heaters=(twin(),), on={"keep_outs": (post,)})
    assert broken(at, twin_design(at, 305)) == {"intake.run"}
    assert broken(at, twin_design(at, -305)) == set()


def test_hole_stays_within_the_face() -> None:
    """The south wall begins at x = 0, which is s = 200 of its facade: the hole keeps the pipe's radius from there."""
    at = with_heater()
    assert of_intake(at, twin_design(at, -(X - 40)))["intake.hole"].verdict is Verdict.PASS
    assert of_intake(at, twin_design(at, -(X - 39)))["intake.hole"].verdict is Verdict.FAIL


@pytest.mark.parametrize(
    ("basis", "length", "elbows"),
    [(LengthBasis.EXHAUST_ONLY, 1000, 1), (LengthBasis.EACH, 1305, 3), (LengthBasis.COMBINED, 2305, 4)],
)
def test_what_counts_against_the_length(basis: LengthBasis, length: int, elbows: int) -> None:
    """1,000 mm and one elbow of exhaust; the intake 305 mm and two elbows more. An elbow counts 1,500 mm."""
    vent_of = twin(basis).vent
    assert equivalent_mm(1000, 1, vent_of) == length + elbows * 1500
    assert elbows_counted(1, vent_of) == elbows
    exact = replace(vent_of, max_equivalent_mm=length + elbows * 1500, max_elbows=elbows)
    assert within_listing(1000, 1, exact)
    assert not within_listing(1000, 1, replace(exact, max_equivalent_mm=length + elbows * 1500 - 1))
    assert not within_listing(1000, 1, replace(exact, max_elbows=elbows - 1))
    assert exhaust_limit(exact) == (2500, 1)


def test_checker_counts_alike() -> None:
    """By its own arithmetic: 320 + 200 mm of vent with one elbow, both pipes added."""
    heater = twin()
    at = house(heaters=(heater,))
    given = twin_design(at, heater=heater)
    own = HEATER.vent_rise_mm + 200
    counted = 2 * own + 305 + 4 * 1500
    for limit, wrong in ((counted, set()), (counted - 1, {"vent.equivalent"})):
        vented = replace(heater, vent=replace(heater.vent, max_equivalent_mm=limit, fall=0.0208))
        first = heater.vent_rise_mm - (vented.vent_rise_mm - vented.vent.first_elbow_mm)
        vented = replace(vented, vent=replace(vented.vent, first_elbow_mm=first))
        found = broken(replace(at, heaters=(vented,)), replace(given, heater=vented))
        assert found == wrong


def test_bill_holds_both_pipes() -> None:
    """Counted by hand from the drawing: pipe of both, elbows, terminals, two holes."""
    at = with_heater()
    found = quantities(at, build(at), twin_design(at))
    own = HEATER.vent_rise_mm + 200
    assert found["vent.tw_pp_3.pipe"] == own and found["vent.tw_pp_3.intake_pipe"] == own + 305
    assert found["vent.tw_pp_3.elbow"] == 1 and found["vent.tw_pp_3.intake_elbow"] == 3
    assert found["vent.tw_pp_3.terminal"] == found["vent.tw_pp_3.intake_terminal"] == 1
    assert found["vent.outer_wall"] == 2


def test_a_vent_of_the_catalogue_has_an_intake() -> None:
    """One heater may have twin pipe; both books price its second pipe."""
    twins = [v for h in heaters().values() for v in h.listings if v.intake]
    assert twins
    for listing in twins:
        assert listing.intake is not None
        assert listing.intake.apart_mm >= listing.terminal_radius_mm + listing.intake.terminal_radius_mm
        for book in ("demo", "demo-si"):
            keys = {f"vent.{listing.system}.intake_{part}" for part in ("pipe", "elbow", "terminal")}
            assert keys <= set(price_book(book).items)


def test_vent_run_alone_says_nothing_of_the_intake() -> None:
    """A design given in part: what is not there is not judged."""
    at = with_heater()
    run = vent([(X, 0, TOP), (X, 0, Z), (X, -200, Z)], [W, OUT], 1, twin())
    given = replace(twin_design(at), intake=None, routes=(run,), given=frozenset({Part.run(Service.VENT)}))
    assert not [f for f in judged(at, given) if f.subject == "intake"]
