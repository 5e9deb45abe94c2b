"""The kernel's tables."""

from project.models.accounts import (
    Membership,
    Organization,
    OrganizationKind,
    Theme,
    User,
)
from project.models.audit import AuditEvent, AuditHead
from project.models.jobs import (
    Coat,
    Element,
    ElementPart,
    Job,
    MixRevision,
    Paper,
    PartRevision,
    TermsRevision,
    UnitSystem,
    Weekday,
)
from project.models.media import Attachment
from project.models.records import (
    Act,
    CompanyFact,
    Fact,
    Living,
    Version,
    WrittenOnce,
    new_id,
)
from project.models.signatures import FlagCleared, Signature

__all__ = [
    "Act",
    "Attachment",
    "AuditEvent",
    "AuditHead",
    "Coat",
    "CompanyFact",
    "Element",
    "ElementPart",
    "Fact",
    "FlagCleared",
    "Job",
    "Living",
    "Membership",
    "MixRevision",
    "Organization",
    "OrganizationKind",
    "Paper",
    "PartRevision",
    "Signature",
    "TermsRevision",
    "Theme",
    "UnitSystem",
    "User",
    "Version",
    "Weekday",
    "WrittenOnce",
    "new_id",
]
