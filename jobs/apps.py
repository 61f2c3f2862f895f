from django.apps import AppConfig
from django.db.models.signals import post_migrate, post_save


class JobsConfig(AppConfig):
    name = "jobs"

    # What each role may do, app by app; see jobs/roles.py.
    role_permissions = {
        "desk": ["view_job", "book_in", "deal_with_owner"],
        "engineer": ["view_job", "book_in", "send_back", "view_audit", "deal_with_owner", "view_overview"],
        "driver": [],
        "owner": [],
        "auditor": ["view_job", "view_audit"],
        "admin": ["view_job", "view_audit", "view_user", "add_user", "change_user", "keep_workshop", "view_overview"],
    }

    def ready(self):
        from jobs import arrivals, booking_step, lines, roles, steps
        from jobs.estimates import next_act as of_estimates
        from jobs.messages import on_stage
        from jobs.overview import figures, of_jobs
        from jobs.retention import kinds
        from jobs.retention import of_jobs as files_of_jobs
        from jobs.workshop import prices

        steps.register(booking_step.STEP)
        arrivals.register(arrivals.expected_in)
        lines.register_before_steps(of_estimates.next_act)
        kinds.register(files_of_jobs.JOB)
        for what in files_of_jobs.FOR_GOOD:
            kinds.register_for_good(what)
        figures.register("turnaround", of_jobs.turnaround)
        figures.register("estimate-against-actual", of_jobs.estimate_against_actual)
        figures.register("endings", of_jobs.endings)
        post_migrate.connect(roles.grant, dispatch_uid="jobs.roles.grant")
        post_migrate.connect(prices.load_first, sender=self, dispatch_uid="jobs.workshop.prices.load_first")
        post_save.connect(on_stage.tell, sender="jobs.AuditEntry", dispatch_uid="jobs.messages.on_stage.tell")
