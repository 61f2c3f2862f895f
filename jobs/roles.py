"""The roles of a workshop are groups. Each app says in its config what it lets each role do."""

ROLES = ("desk", "engineer", "driver", "owner", "auditor", "admin")


def grant(app_config, using, **kwargs):
    """After every migration: the groups exist and hold what the apps declare, no more, no less."""
    from django.contrib.auth.models import Group, Permission

    declared = getattr(app_config, "role_permissions", None)
    if declared is None:
        return
    for role in ROLES:
        group, _ = Group.objects.using(using).get_or_create(name=role)
        wanted = Permission.objects.using(using).filter(
            content_type__app_label=app_config.label, codename__in=declared.get(role, ())
        )
        held = group.permissions.filter(content_type__app_label=app_config.label)
        group.permissions.remove(*held.exclude(pk__in=wanted))
        group.permissions.add(*wanted)
