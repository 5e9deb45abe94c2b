"""People, firms, and who is what on which job."""

from __future__ import annotations

from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from project.domain.roles import Role
from project.models.records import Living


class UserManager(BaseUserManager["User"]):
    """Finds a person by the address they sign in with, whatever its capitals."""

    def get_by_natural_key(self, username: str | None) -> User:
        return self.get(email=(username or "").lower())


class Theme(models.TextChoices):
    AUTO = "auto", _("as the device")
    LIGHT = "light", _("light")
    SUN = "sun", _("sun")
    DARK = "dark", _("dark")


class User(AbstractBaseUser, Living):
    """A person who signs in."""

    email = models.EmailField(unique=True)
    printed_name = models.CharField(max_length=120)
    language = models.CharField(max_length=8, default="en")
    theme = models.CharField(max_length=8, choices=Theme, default=Theme.AUTO)
    is_active = models.BooleanField(default=True)

    objects: ClassVar[UserManager] = UserManager()

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["printed_name"]

    class Meta:
        ordering = ("email",)
        constraints = (
            models.UniqueConstraint(Lower("email"), name="project_user_email_ci"),
        )

    def __str__(self) -> str:
        return self.printed_name

    @property
    def stream(self) -> str:
        return f"user:{self.id}"


class OrganizationKind(models.TextChoices):
    CONTRACTOR = "contractor", _("contractor")
    LABORATORY = "laboratory", _("laboratory")
    AGENCY = "inspection agency", _("inspection agency")
    DESIGNER = "designer", _("designer")
    OWNER = "owner", _("owner")
    SUPPLIER = "supplier", _("supplier")
    AUTHORITY = "authority", _("authority")


class Organization(Living):
    """A firm or an authority."""

    code = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=120)
    org_kind = models.CharField(max_length=20, choices=OrganizationKind)

    class Meta:
        ordering = ("code",)

    def __str__(self) -> str:
        return self.name

    @property
    def stream(self) -> str:
        return f"org:{self.id}"


class Membership(Living):
    """One person's role on one job, for one firm, from a date on."""

    user = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    job = models.ForeignKey("project.Job", on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=24, choices=[(r.value, r.value) for r in Role])
    organization = models.ForeignKey(
        Organization, on_delete=models.PROTECT, related_name="+"
    )
    title = models.CharField(max_length=80, blank=True, default="")
    from_on = models.DateField()
    to_on = models.DateField(null=True, blank=True)
    may_sign_alone = models.BooleanField(default=True)

    class Meta:
        ordering = ("user__printed_name", "from_on")
        constraints = (
            models.UniqueConstraint(
                fields=("user", "job", "role", "from_on"),
                name="project_membership_person_role_from",
            ),
            models.CheckConstraint(
                condition=Q(to_on__isnull=True) | Q(to_on__gte=F("from_on")),
                name="project_membership_from_before_to",
            ),
        )

    def __str__(self) -> str:
        return f"{self.user.printed_name}, {self.role}"

    def clean(self) -> None:
        super().clean()
        _from_before_to(self.from_on, self.to_on)


def _from_before_to(from_on: Any, to_on: Any) -> None:
    from django.core.exceptions import ValidationError

    if from_on and to_on and to_on < from_on:
        message = _(
            "To %(to)s lies before from %(from)s; allowed is that day or later."
        )
        raise ValidationError(
            {"to_on": ValidationError(message, params={"to": to_on, "from": from_on})}
        )
