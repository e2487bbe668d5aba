"""Carbon monoxide alarms from what rooms are used for. IRC R315 (read), NFPA 72 and the Canadian code (memory)."""

from __future__ import annotations

from dataclasses import replace

from service.building.build import build
from service.design import Design, Mount, Terminal
from service.survey.model import Appliance, Room, RoomUse, Storey, Survey
from service.usecases.alarms import Alarm, alarm_caution, alarms
from tests.unit.check_house import HEATER, gas, house, outer_walls, site

USES = {"bed-a": RoomUse.BEDROOM, "bed-b": RoomUse.BEDROOM, "bath": RoomUse.BATHROOM, "hall": RoomUse.HALL}


def a_storey(name: str, floor: int, uses: dict[str, RoomUse], **into: str) -> Storey:
    """Rooms of 3 m by 4 m in a row; ``into``: the room that another opens only into."""
    rooms = tuple(
        Room(n, use, ((x, 0), (x + 3000, 0), (x + 3000, 4000), (x, 4000)), True, floor, floor + 2500,
             into.get(n.replace("-", "_")))
        for x, (n, use) in zip(range(0, 99_000, 3000), uses.items(), strict=False)
    )  # fmt: skip
    return Storey(name, floor, floor + 2500, rooms, (), outer_walls(rooms))


def home(*storeys: Storey, rules: str = "us-2021", appliances: tuple[Appliance, ...] = ()) -> Survey:
    """A house of these storeys."""
    return replace(house(), storeys=storeys, site=site(rule_set=rules), gas=gas(appliances=appliances))


def asked(at: Survey, *rooms: str) -> tuple[Alarm, ...]:
    """Alarms with a design in each of the rooms."""
    built = build(at)
    faces = [next(f.id for f in built.faces if f.room_id == room) for room in rooms]
    given = [Design(HEATER, Mount(f, 500, 1000), Terminal("", 0, 0), (), False, False, (), 0) for f in faces]
    return alarms(at, built, given)


def test_one_outside_each_sleeping_area_and_one_on_each_other_storey() -> None:
    """Bedrooms that open only into one hall share theirs; attics and crawl spaces have none."""
    upper = a_storey("upper", 3000, USES, bed_a="hall", bed_b="hall")
    cellar = a_storey("cellar", -3000, {"boiler": RoomUse.BASEMENT})
    crawl = a_storey("crawl", -9000, {"under": RoomUse.CRAWL_SPACE})
    attic = a_storey("attic", 6000, {"loft": RoomUse.ATTIC})
    found = asked(home(crawl, cellar, upper, attic), "boiler")
    assert [(a.rule_id, a.mark) for a in found] == [("CL5-SLEEPING", "read"), ("CL6-STOREY", "memory")]
    assert "upper" in found[0].where and "bed-a, bed-b" in found[0].where and "cellar" in found[1].where
    assert "UL 2034" in found[0].what and found[0].citation == "IRC, R315"
    assert not found[0].designs


def test_sleeping_areas_apart() -> None:
    """Two bedrooms that open into different rooms are two sleeping areas."""
    uses = {**USES, "den": RoomUse.LIVING}
    found = asked(home(a_storey("only", 0, uses, bed_a="hall", bed_b="den")), "hall")
    assert [a.rule_id for a in found] == ["CL5-SLEEPING", "CL5-SLEEPING"]


def test_a_heater_in_the_bedroom_or_its_bathroom_asks_for_one_inside() -> None:
    """Only of the designs that hang there."""
    at = home(a_storey("only", 0, USES, bath="bed-b"))
    inside = [a for a in asked(at, "hall", "bath", "bed-b", "bed-a") if a.rule_id == "CL5-BEDROOM"]
    assert [("bed-a" in a.where, a.designs) for a in inside] == [(True, (4,)), (False, (2, 3))]
    assert all("inside the bedroom" in a.where for a in inside)
    assert "CL5-BEDROOM" not in {a.rule_id for a in asked(at, "hall")}


def test_an_old_appliance_in_the_bedroom_asks_whatever_the_design() -> None:
    """And is named among what burns fuel."""
    fire = Appliance("fire", "fireplace", 9_000.0, True, "bed-a", "tee")
    found = asked(home(a_storey("only", 0, USES), appliances=(fire,)), "hall")
    inside = next(a for a in found if a.rule_id == "CL5-BEDROOM")
    assert "bed-a" in inside.where and "fire" in inside.why and inside.designs == ()
    assert "fire" in next(a for a in found if a.rule_id == "CL5-SLEEPING").why


def test_a_room_of_unknown_use_may_be_a_bedroom() -> None:
    """The worst case, and said to be one."""
    found = asked(home(a_storey("only", 0, {"box": RoomUse.UNKNOWN})), "box")
    assert {a.rule_id for a in found} == {"CL5-SLEEPING", "CL5-BEDROOM"}
    assert all("not known" in a.where for a in found)


def test_an_attached_garage_is_a_reason() -> None:
    """A garage asks for an alarm by itself."""
    found = asked(home(a_storey("only", 0, {**USES, "cars": RoomUse.GARAGE})), "hall")
    assert "garage" in found[0].why and "cars" in found[0].why


def test_canada_and_the_example_of_a_local_rule() -> None:
    """National Building Code 9.32.3.9 (memory); the rule of Massachusetts is told in the table and applied nowhere."""
    found = asked(home(a_storey("only", 0, USES), rules="ca-b149"), "hall")
    assert [a.rule_id for a in found] == ["NBC-BEDROOM"]
    assert "5 m" in found[0].where
    assert "OT13" not in {a.rule_id for a in asked(home(a_storey("only", 0, USES)), "hall")}


def test_the_caution_points_to_the_alarms() -> None:
    """None without alarms."""
    assert alarm_caution(()) == ()
    assert "alarms" in alarm_caution(asked(home(a_storey("only", 0, USES)), "hall"))[0]
