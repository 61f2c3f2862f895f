"""Every address of the site and every role: who gets in and who does not."""

import pytest
from django.db import transaction
from django.urls import get_resolver, reverse
from django.urls.resolvers import URLPattern, URLResolver

from jobs.models import Job, User
from tests.world import url_of

DESK, ENGINEER, DRIVER, OWNER, AUDITOR = "desk", "engineer", "driver", "owner", "admin"
STAFF = {DESK, ENGINEER, AUDITOR}
EVERYBODY = {DESK, ENGINEER, DRIVER, OWNER, AUDITOR}
NOBODY = "nobody"
PUBLIC = {*EVERYBODY, NOBODY}

# Who gets in. `admin` is an auditor who also keeps the accounts.
TABLE = {
    "home": EVERYBODY,
    "login": PUBLIC,
    "logout": EVERYBODY,
    "own_password": EVERYBODY,
    "health": PUBLIC,
    "jobs:book": STAFF,
    "jobs:book_in": {DESK, ENGINEER},
    "jobs:returning": {DESK, ENGINEER},
    "jobs:keep_view": STAFF,
    "jobs:remove_view": STAFF,
    "jobs:job": STAFF,
    "jobs:owner": {DESK, ENGINEER},
    "jobs:coming_in": {DESK, ENGINEER},
    "jobs:vehicle": {DESK, ENGINEER},
    "jobs:modifications": {DESK, ENGINEER},
    "jobs:add_modification": {DESK, ENGINEER},
    "jobs:edit_modification": {DESK, ENGINEER},
    "jobs:remove_modification": {DESK, ENGINEER},
    "jobs:photos": {DESK, ENGINEER},
    "jobs:receipt": {DESK, ENGINEER},
    "jobs:receipt_pdf": {DESK, ENGINEER},
    "jobs:send_receipt": {DESK, ENGINEER},
    "jobs:wait_for": {DESK, ENGINEER},
    "jobs:wait_no_more": {DESK, ENGINEER},
    "jobs:close_without": {DESK, ENGINEER},
    "jobs:open_again": {ENGINEER},
    "jobs:document": STAFF,
    "jobs:set_aside": {DESK, ENGINEER},
    "jobs:bring_back": {DESK, ENGINEER},
    "jobs:move_on": {ENGINEER},
    "jobs:send_back": {ENGINEER},
    "jobs:audit_trail": {ENGINEER, AUDITOR},
    "jobs:owner_page": PUBLIC,
    "jobs:owner_paper": PUBLIC,
    "jobs:owner_code": PUBLIC,
    "jobs:owner_send_code": PUBLIC,
    "jobs:owner_mail": PUBLIC,
    "jobs:owner_leave": PUBLIC,
    "jobs:owner_estimate": PUBLIC,
    "jobs:owner_estimate_pdf": PUBLIC,
    "jobs:owner_files": PUBLIC,
    "jobs:owner_mornings": PUBLIC,
    "jobs:owner_ask": PUBLIC,
    "jobs:logo": PUBLIC,
    "jobs:owner_side": {DESK, ENGINEER},
    "jobs:new_link": {DESK, ENGINEER},
    "jobs:withdraw_link": {DESK, ENGINEER},
    "jobs:mail_link": {DESK, ENGINEER},
    "jobs:read_out_code": {DESK, ENGINEER},
    "jobs:note_words": {DESK, ENGINEER},
    "jobs:answer_question": {DESK, ENGINEER},
    "jobs:estimate": STAFF,
    "jobs:write_estimate": {DESK, ENGINEER},
    "jobs:estimate_version": STAFF,
    "jobs:estimate_pdf": STAFF,
    "jobs:send_estimate": {DESK, ENGINEER},
    "jobs:heard_decision": {DESK, ENGINEER},
    "jobs:note_payment": {DESK, ENGINEER},
    "jobs:note_cost": {DESK, ENGINEER},
    "jobs:job_messages": STAFF,
    "jobs:job_message": STAFF,
    "jobs:send_again": {DESK, ENGINEER},
    "jobs:came_back": {DESK, ENGINEER},
    "jobs:workshop": {AUDITOR},
    "jobs:old_files": {AUDITOR},
    "jobs:old_file": {AUDITOR},
    "jobs:erase_old_file": {AUDITOR},
    "jobs:signatories": {AUDITOR},
    "jobs:end_authority": {AUDITOR},
    "jobs:price_books": {AUDITOR},
    "jobs:new_price_book": {AUDITOR},
    "jobs:price_book": {AUDITOR},
    "jobs:wordings": {AUDITOR},
    "jobs:edit_wording": {AUDITOR},
    "jobs:overview": {ENGINEER, AUDITOR},
    "jobs:overview_csv": {ENGINEER, AUDITOR},
    "jobs:keep_draft": EVERYBODY,
    "jobs:forget_draft": EVERYBODY,
    "testing:first_look": STAFF,
    "testing:triage": STAFF,
    "testing:sign_triage": {ENGINEER},
    "testing:decide": {ENGINEER},
    "testing:signed_triage": STAFF,
    "testing:what_if": STAFF,
    "testing:decide_open": {ENGINEER},
    "testing:rules": STAFF,
    "testing:edition": STAFF,
    "testing:export_edition": STAFF,
    "testing:check_edition": {ENGINEER},
    "testing:start_draft": {AUDITOR},
    "testing:bring_in_draft": {AUDITOR},
    "testing:rule_draft": {AUDITOR},
    "testing:draft_head": {AUDITOR},
    "testing:draft_number": {AUDITOR},
    "testing:remove_number": {AUDITOR},
    "testing:draft_effect": {AUDITOR},
    "testing:publish_draft": {AUDITOR},
    "testing:discard_draft": {AUDITOR},
    "testing:export_draft": {AUDITOR},
    "testing:planner": STAFF,
    "testing:find": {ENGINEER},
    "testing:take": {ENGINEER},
    "testing:offer": {ENGINEER},
    "testing:new_feed": {*STAFF, DRIVER},
    "testing:feed": PUBLIC,
    "testing:site_blackouts": {ENGINEER},
    "testing:remove_blackout": {ENGINEER},
    "testing:explain_columns": {ENGINEER},
    "testing:fetch_forecast": {ENGINEER},
    "testing:past_weather": STAFF,
    "testing:barred_owners": {ENGINEER},
    "testing:remove_barred": {ENGINEER},
    "testing:add_instrument": {ENGINEER},
    "testing:instrument": {ENGINEER},
    "testing:calibration": STAFF,
    "testing:add_ballast": {ENGINEER},
    "testing:ballast": {ENGINEER},
    "testing:confirm_booking": {ENGINEER},
    "testing:go": STAFF,
    "testing:decide_go": {ENGINEER},
    "testing:note_preparation": {ENGINEER},
    "testing:preparation_sheet": STAFF,
    "testing:add_site": {ENGINEER},
    "testing:site": {ENGINEER},
    "testing:forecast": STAFF,
    "testing:enter_forecast": {ENGINEER},
    "testing:upload_forecast": {ENGINEER},
    "testing:add_crew_member": {ENGINEER},
    "testing:crew_member": {ENGINEER},
    "testing:cover": {ENGINEER},
    "testing:remove_cover": {ENGINEER},
    "testing:schedule": {ENGINEER},
    "testing:cancel_booking": {ENGINEER},
    "testing:work_up": STAFF,
    "testing:open_test_day": {ENGINEER},
    "testing:driving_report": {ENGINEER},
    "testing:my_days": {ENGINEER, DRIVER, AUDITOR},
    "testing:day_sheet": {ENGINEER, DRIVER, AUDITOR},
    "testing:confirm_checks": {ENGINEER, DRIVER},
    "testing:add_run": {ENGINEER, DRIVER},
    "testing:strike_run": {ENGINEER},
    "testing:go_on": {ENGINEER},
    "testing:accept_exception": {ENGINEER},
    "testing:take_back_check": {ENGINEER, DRIVER},
    "testing:load": {ENGINEER, DRIVER},
    "testing:stop": {ENGINEER, DRIVER},
    "testing:roll_limit": {ENGINEER},
    "testing:settle": {ENGINEER},
    "testing:undo_run": {ENGINEER, DRIVER},
    "testing:correct_run": {ENGINEER},
    "testing:add_run_photo": {ENGINEER, DRIVER},
    "testing:run_photo": {ENGINEER, DRIVER, AUDITOR},
    "testing:countersign": {ENGINEER},
    "testing:measurement": {ENGINEER},
    "testing:decide_retest": {ENGINEER},
    "testing:tell_must_change": {ENGINEER},
    "testing:logs": {ENGINEER},
    "testing:log_columns": {ENGINEER},
    "testing:log_passes": {ENGINEER},
    "testing:logged_pass": {ENGINEER, DRIVER, AUDITOR},
    "testing:sync": {ENGINEER, DRIVER},
    "testing:day_sheet_worker": PUBLIC,
    "testing:sign_statement": {DRIVER},
    "certificates:preview": {ENGINEER},
    "certificates:pages": {ENGINEER},
    "certificates:draft": {ENGINEER},
    "certificates:draft_certificate": {ENGINEER},
    "certificates:requirements": {ENGINEER},
    "certificates:words": {ENGINEER},
    "certificates:issue": {ENGINEER},
    "certificates:enter_code": PUBLIC,
    "certificates:check": PUBLIC,
    "certificates:register": STAFF,
    "certificates:export": STAFF,
    "certificates:head": STAFF,
    "certificates:certificate": STAFF,
    "certificates:certificate_pdf": STAFF,
    "certificates:report_pdf": STAFF,
    "certificates:import": {AUDITOR},
    "certificates:import_batch": {AUDITOR},
    "certificates:imported": STAFF,
    "certificates:imported_pdf": STAFF,
    "certificates:whole_file": {ENGINEER, AUDITOR},
    "certificates:evidence_pack": {AUDITOR},
    "certificates:correct": {ENGINEER},
    "certificates:supersede": {ENGINEER},
    "certificates:withdraw": {ENGINEER},
    "certificates:withdraw_imported": {ENGINEER},
    "certificates:transfer": {ENGINEER},
    "certificates:supersede_imported": {ENGINEER},
    "certificates:transfer_imported": {ENGINEER},
    "certificates:finding": {AUDITOR},
    "certificates:finding_imported": {AUDITOR},
    "certificates:follow_up": {ENGINEER, AUDITOR},
    "certificates:audits": {AUDITOR},
    "certificates:draw": {AUDITOR},
    "certificates:audit": {AUDITOR},
    "certificates:audit_pack": {AUDITOR},
}


def all_names(resolver=None, namespace=""):
    for entry in (resolver or get_resolver()).url_patterns:
        if isinstance(entry, URLResolver):
            if entry.namespace != "admin":
                yield from all_names(entry, f"{entry.namespace}:" if entry.namespace else namespace)
        elif isinstance(entry, URLPattern):
            yield f"{namespace}{entry.name}", entry.callback


def got_in(response):
    return response.status_code not in (403, 404) and not response.get("Location", "").startswith("/sign-in/")


def test_every_address_is_in_the_table():
    assert {name for name, _ in all_names()} == set(TABLE)


def test_every_view_says_who_may_see_it():
    unmarked = [name for name, view in all_names() if not hasattr(view, "access")]
    assert unmarked == []


@pytest.mark.parametrize("method", ["get", "post"])
def test_who_gets_in(client, world, method):
    wrong = []
    for role in sorted(PUBLIC):
        if role != NOBODY:
            client.force_login(User.objects.get(username=role))
        for name, allowed in TABLE.items():
            if name == "logout" and method == "post":
                continue
            with transaction.atomic():
                response = getattr(client, method)(url_of(name, world), {})
                b"".join(response)
                transaction.set_rollback(True)
            if response.status_code == 405:
                continue  # the other method of this address is tried as well
            if response.status_code >= 500 or got_in(response) != (role in allowed):
                wrong.append(f"{role} {method} {name}: {response.status_code}")
        client.logout()
    assert wrong == []


def test_a_driver_gets_into_their_own_days_only(as_, world, other_driver_user):
    client = as_(other_driver_user)
    for name in ("day_sheet", "add_run", "confirm_checks", "sign_statement"):
        for method in ("get", "post"):
            response = getattr(client, method)(reverse(f"testing:{name}", kwargs=world["day"]))
            assert response.status_code in (404, 405), name


def test_an_owner_is_led_to_their_own_page_only(as_, world):
    client = as_(User.objects.get(username="owner"))
    page = client.get("/").content.decode()
    for job in Job.objects.all():
        assert (job.owner_token in page) == (job.owner.user is not None)


def test_the_accounts_are_open_to_those_who_keep_them(as_, world):
    assert as_(User.objects.get(username="admin")).get("/accounts/jobs/user/").status_code == 200
    for role in (DESK, ENGINEER, DRIVER, OWNER):
        assert as_(User.objects.get(username=role)).get("/accounts/jobs/user/").status_code == 302
