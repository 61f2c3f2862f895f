from django.apps import AppConfig


class CertificatesConfig(AppConfig):
    name = "certificates"

    role_permissions = {
        "desk": ["view_register"],
        "engineer": ["view_register", "issue"],
        "driver": [],
        "owner": [],
        "auditor": ["view_register", "audit"],
        "admin": ["view_register", "bring_in"],
    }

    def ready(self):
        from certificates import ends, old_files, papers
        from certificates.step import STEP
        from jobs import endings, owner_page, steps
        from jobs.retention import kinds

        steps.register(STEP)
        owner_page.register_papers(papers.for_owner)
        owner_page.register_end(ends.for_owner)
        endings.register(against=ends.against_none)
        kinds.add_to("job", **old_files.OF_JOB)
        kinds.register(old_files.IMPORTED)
        kinds.register_for_good(old_files.FOR_GOOD)
