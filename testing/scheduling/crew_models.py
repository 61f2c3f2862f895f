from django.conf import settings
from django.db import models
from django.db.models import Q


class CrewMember(models.Model):
    """Somebody who drives or observes on a test day."""

    name = models.CharField(max_length=80)
    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="crew_member"
    )
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=30, blank=True)
    drives = models.BooleanField("may drive tests", default=False)
    observes = models.BooleanField("may observe tests", default=True)
    skill_evidence = models.CharField(
        "evidence of skill", max_length=200, blank=True, help_text="Road-testing experience, course, licence."
    )
    evidence_valid_to = models.DateField(null=True, blank=True)
    mass_kg = models.FloatField("mass, dressed for the test", null=True, blank=True)

    class Meta:
        ordering = ["name"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(
                name="crew_mass_in_range", condition=Q(mass_kg__isnull=True) | Q(mass_kg__range=(35, 250))
            )
        ]

    def __str__(self):
        return self.name


class BarredOwner(models.Model):
    """Whose vehicles a member of the crew may not drive: family, an employer, a business partner."""

    member = models.ForeignKey(CrewMember, on_delete=models.CASCADE, related_name="barred")
    owner = models.CharField("owner's name or e-mail", max_length=120)
    reason = models.CharField(max_length=120)

    class Meta:
        ordering = ["owner"]
        default_permissions = ()
        constraints = [models.UniqueConstraint(fields=["member", "owner"], name="owner_barred_once")]

    def __str__(self):
        return f"{self.owner} ({self.reason})"
