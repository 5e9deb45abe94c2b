"""How a panel's strength stood, and its faces, with another instant's knowledge."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from crews.domain.trade_words import RatingDecision
from crews.models import Core, LabReport, LabResult, Panel, VisualRating
from crews.queries.hindsight import Hindsight
from crews.queries.panels import CORED, PanelRow, Read, panel_row
from project.domain.verdict import Known, Reason, Ref, Source, State, Verdict
from project.queries.chains import Chains

_RATED = {
    RatingDecision.ACCEPTABLE: State.PASS,
    RatingDecision.NOT_ACCEPTABLE: State.FAIL,
    RatingDecision.MORE_WANTED: State.UNDECIDED,
}
_GROUP = Source("ACI 506.6T", known=Known.MEMORY)
NO_RATING = Verdict(State.NO_DATA, "cores looked at as a group")


@dataclass(frozen=True, slots=True)
class PanelHindsight:
    """Panels, their cores and what was said of them, at every instant."""

    record: Hindsight
    panels: Chains[Panel]
    cores: Chains[Core]
    reports: Chains[LabReport]
    ratings: Chains[VisualRating]
    results: dict[UUID, list[LabResult]]
    cores_of: dict[UUID, list[UUID]]
    ratings_of: dict[UUID, list[UUID]]
    # The panels whose cores a letter speaks of, by the letter.
    told_of: dict[UUID, set[UUID]]
    # When a laboratory first spoke of a panel's cores.
    first_told: dict[UUID, datetime]

    def tested(self, first: UUID, *, at: datetime) -> bool:
        """Say whether any result of a panel was on record; without one nothing is settled."""
        told = self.first_told.get(first)
        return told is not None and told <= at

    def judged(self, first: UUID, *, at: datetime, on: date) -> PanelRow | None:
        """Judge a panel that owes strength, as known at an instant, for a date."""
        panel = self.panels.known(first, at=at)
        if panel is None or panel.panel_kind not in CORED:
            return None
        mixes = {row.first: row for row in self.record.mixes.all_known(at=at)}
        if panel.mix_revision_id not in mixes:
            return None
        cores = [self.cores.known(core, at=at) for core in self.cores_of.get(first, ())]
        drilled = sorted(filter(None, cores), key=lambda core: core.number)
        in_force = {row.pk: row for row in self.reports.all_known(at=at)}
        read = Read(
            job=self.record.job,
            on=on,
            cores=defaultdict(list, {first: drilled}),
            results={
                result.core_id: (result, in_force[result.report_id])
                for core in drilled
                for result in self.results.get(core.first, ())
                if result.report_id in in_force
            },
            judgements=defaultdict(list),
            mixes=mixes,
            terms=tuple(
                self.record.in_terms[row.pk]
                for row in self.record.terms.all_known(at=at)
            ),
            codes={pk: person.code for pk, person in self.record.people.items()},
        )
        return panel_row(panel, read)

    def strength(self, first: UUID, *, at: datetime, on: date) -> Verdict | None:
        """Return how the set that decides stood; nothing where none is owed."""
        panel = self.judged(first, at=at, on=on)
        decisive = None if panel is None else panel.decisive
        return None if decisive is None else decisive.verdict

    def rated(self, first: UUID, *, at: datetime) -> Verdict:
        """Return the last word on the faces of a panel's cores, as known."""
        rows = [self.ratings.known(r, at=at) for r in self.ratings_of.get(first, ())]
        said = [row for row in rows if row is not None]
        if not said:
            return NO_RATING
        last = max(said, key=lambda row: (row.rated_at, row.recorded_at))
        state = _RATED[RatingDecision(last.decision)]
        reason = Reason(
            key="visual rating",
            requirement=NO_RATING.rule,
            state=state,
            found=f"{last.decision}: {last.words}" if last.words else last.decision,
            source=_GROUP,
            evidence=(Ref(last.kind, str(last.pk), last.decision),),
        )
        return Verdict(state, NO_RATING.rule, (reason,))


def panel_hindsight(record: Hindsight) -> PanelHindsight:
    """Read a job's panels with every version of them. Five queries."""
    job = record.job
    panels = Chains[Panel](Panel.objects.filter(job=job))
    cores = Chains[Core](Core.objects.filter(job=job))
    ratings = Chains[VisualRating](VisualRating.objects.filter(job=job))
    results: dict[UUID, list[LabResult]] = defaultdict(list)
    told_of: dict[UUID, set[UUID]] = defaultdict(set)
    cores_of: dict[UUID, list[UUID]] = defaultdict(list)
    panel_of: dict[UUID, UUID] = {}
    for first, versions in cores.by_first.items():
        panel_of[first] = versions[0].panel_id
        cores_of[versions[0].panel_id].append(first)
    for result in LabResult.objects.filter(job=job):
        results[result.core_id].append(result)
        told_of[result.report_id].add(panel_of[result.core_id])
    ratings_of: dict[UUID, list[UUID]] = defaultdict(list)
    for first, said in ratings.by_first.items():
        ratings_of[said[0].panel_id].append(first)
    reports = Chains[LabReport](
        LabReport.objects.filter(job=job).select_related("laboratory")
    )
    first_told: dict[UUID, datetime] = {}
    for letter in reports:
        for panel in told_of.get(letter.pk, ()):
            told = first_told.get(panel, letter.recorded_at)
            first_told[panel] = min(told, letter.recorded_at)
    return PanelHindsight(
        record=record,
        panels=panels,
        cores=cores,
        reports=reports,
        ratings=ratings,
        results=results,
        cores_of=cores_of,
        ratings_of=ratings_of,
        told_of=told_of,
        first_told=first_told,
    )
