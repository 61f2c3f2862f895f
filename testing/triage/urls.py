from django.urls import path

from testing.triage.views import deciding, look, rule_drafts, rules

jobs = [
    path("jobs/<slug:number>/first-look/", look.first_look, name="first_look"),
    path("jobs/<slug:number>/what-if/", look.what_if, name="what_if"),
    path("jobs/<slug:number>/triage/", deciding.triage, name="triage"),
    path("jobs/<slug:number>/triage/sign/", deciding.sign, name="sign_triage"),
    path("jobs/<slug:number>/triage/decide/", deciding.decide_open, name="decide_open"),
    path("jobs/<slug:number>/triage/decide/<path:code>/", deciding.decide, name="decide"),
    path("jobs/<slug:number>/triage/signed/<int:pk>/", deciding.signed_triage, name="signed_triage"),
]
keeping = [
    path("rules/", rules.rules, name="rules"),
    path("rules/editions/<str:key>/", rules.edition, name="edition"),
    path("rules/editions/<str:key>/export/", rules.export_edition, name="export_edition"),
    path("rules/editions/<str:key>/check/", rules.check_edition, name="check_edition"),
    path("rules/editions/<str:key>/draft/", rules.start_draft, name="start_draft"),
    path("rules/drafts/bring-in/", rule_drafts.bring_in_draft, name="bring_in_draft"),
    path("rules/drafts/<int:pk>/", rule_drafts.rule_draft, name="rule_draft"),
    path("rules/drafts/<int:pk>/title/", rule_drafts.draft_head, name="draft_head"),
    path("rules/drafts/<int:pk>/numbers/<str:name>/", rule_drafts.draft_number, name="draft_number"),
    path("rules/drafts/<int:pk>/numbers/<str:name>/take-out/", rule_drafts.remove_draft_number, name="remove_number"),
    path("rules/drafts/<int:pk>/effect/", rule_drafts.draft_effect, name="draft_effect"),
    path("rules/drafts/<int:pk>/publish/", rule_drafts.publish_draft, name="publish_draft"),
    path("rules/drafts/<int:pk>/discard/", rule_drafts.discard_draft, name="discard_draft"),
    path("rules/drafts/<int:pk>/export/", rule_drafts.export_draft, name="export_draft"),
]
urlpatterns = [*jobs, *keeping]
