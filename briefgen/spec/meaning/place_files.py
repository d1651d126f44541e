"""Every place of the places files of a mission, seen through possible faults."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.spec.tree.check import Checked
from briefgen.spec.tree.load import KeyPath
from briefgen.spec.tree.survey import Survey


class Places:
    """Every place of the places files, seen through possible faults."""

    def __init__(self, files: Sequence[Checked]) -> None:
        self.surveys: dict[str, Survey] = {}
        for checked in files:
            survey = Survey(checked)
            self.surveys |= dict.fromkeys(survey.keys("places"), survey)

    def idents(self) -> list[str]:
        return list(self.surveys)

    def is_aerodrome(self, ident: str) -> bool:
        return self.surveys[ident].text("places", ident, "kind") == "aerodrome"

    def elevation(self, ident: str) -> tuple[float, str] | None:
        """Return the elevation of a place [m] with its text, None where it is not known."""
        survey = self.surveys.get(ident)
        elevation_m = survey.si("places", ident, "elevation") if survey else None
        return (
            None
            if survey is None or elevation_m is None
            else (elevation_m, str(survey.text("places", ident, "elevation")))
        )

    def runways(self, ident: str) -> list[str]:
        survey = self.surveys[ident]
        return survey.texts(survey.groups("places", ident, "runways"), "name")

    def surface(self, ident: str, runway: str) -> tuple[Survey, KeyPath] | None:
        survey = self.surveys[ident]
        for path in survey.groups("places", ident, "runways"):
            if survey.text(*path, "name") == runway:
                return survey, (*path, "surface")
        return None
