from django.apps import AppConfig
from django.db.models.signals import post_migrate


class JobsConfig(AppConfig):
    name = "jobs"

    # What each role may do, app by app; see jobs/roles.py.
    role_permissions = {
        "desk": ["view_job", "book_in"],
        "engineer": ["view_job", "book_in", "send_back", "view_audit"],
        "driver": [],
        "owner": [],
        "auditor": ["view_job", "view_audit"],
        "admin": ["view_job", "view_audit", "view_user", "add_user", "change_user"],
    }

    def ready(self):
        from jobs import arrivals, booking_step, roles, steps

        steps.register(booking_step.STEP)
        arrivals.register(arrivals.expected_in)
        post_migrate.connect(roles.grant, dispatch_uid="jobs.roles.grant")
