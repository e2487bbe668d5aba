"""What every design and sheet must say."""

from __future__ import annotations

SCALDING = (
    "Hot water scalds: within minutes at 49 degC (120 degF), within seconds at 60 degC (140 degF), children and "
    "the old sooner. Set and check the outlet temperature."
)
LOCAL_CODE = (
    "Local code, the authority having jurisdiction, the gas supplier and the heater's listed instructions prevail "
    "over this answer."
)
CAUTIONS = (
    "Gas can explode and burn: only licensed people design, install and test gas piping; leak-test before firing.",
    "Carbon monoxide kills without warning: vent and terminal as listed, joints sealed, alarms as the code asks.",
    SCALDING,
    "Electricity can kill: switch the circuit off and lock it before working on the heater.",
    LOCAL_CODE,
    "Positions are as good as the survey: measure again on site before a hole is cut.",
)
