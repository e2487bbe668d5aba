"""The search for one of several heaters, held to a place that somebody asks about; the others hang where they like."""

from __future__ import annotations

from service.building.model import Building
from service.siting.dwelling_search import DwellingSearch, Gas, Held
from service.siting.ground import Ground
from service.siting.pinned import PinnedZones, indoors
from service.siting.zones import Zones
from service.survey.model import Dwelling, Question, Survey


class AskedSearch(DwellingSearch):
    """Searches for the dwelling that a question is about."""

    def __init__(self, survey: Survey, building: Building, dwelling: Dwelling, question: Question) -> None:
        self.question = question
        super().__init__(survey, building, dwelling)

    def zones_of(self, held: Held) -> Zones:
        """The zones that a search sees, all places but those asked about closed."""
        return PinnedZones(super().zones_of(held), self.question)

    def ground(self, held: Held, gas: Gas) -> Ground:
        """What a search is given."""
        return indoors(super().ground(held, gas))


def search_of(survey: Survey, building: Building, dwelling: Dwelling, question: Question | None) -> DwellingSearch:
    """Searches for a dwelling, held to the place of a question if that is about it."""
    if question is None or question.dwelling != dwelling.id:
        return DwellingSearch(survey, building, dwelling)
    return AskedSearch(survey, building, dwelling, question)
