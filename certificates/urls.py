from django.urls import path

from certificates.views import audits, bringing, check, issuing, later, papers, register

app_name = "certificates"
urlpatterns = [
    path("jobs/<slug:number>/certificate/preview/", issuing.preview, name="preview"),
    path("jobs/<slug:number>/certificate/pages/", issuing.pages, name="pages"),
    path("jobs/<slug:number>/certificate/draft.pdf", issuing.draft, name="draft"),
    path("jobs/<slug:number>/certificate/words/", issuing.edit_words, name="words"),
    path("jobs/<slug:number>/certificate/issue/", issuing.issue, name="issue"),
    path("check/", check.enter_code, name="enter_code"),
    path("check/<slug:code>/", check.check, name="check"),
    path("register/", register.register, name="register"),
    path("register/export.csv", register.export_csv, name="export"),
    path("register/head/", register.register_head, name="head"),
    path("register/import/", bringing.send, name="import"),
    path("register/import/<slug:token>/", bringing.batch, name="import_batch"),
    path("register/imported/<int:pk>/", register.imported, name="imported"),
    path("register/imported/<int:pk>/paper.pdf", papers.imported_paper, name="imported_pdf"),
    path("register/imported/<int:pk>/withdraw/", later.withdraw_imported, name="withdraw_imported"),
    path("register/imported/<int:pk>/transfer/", later.transfer_imported, name="transfer_imported"),
    path("register/imported/<int:pk>/finding/", audits.finding_imported, name="finding_imported"),
    path("register/<slug:number>/", register.certificate, name="certificate"),
    path("register/<slug:number>/file/", register.whole_file, name="whole_file"),
    path("register/<slug:number>/certificate.pdf", papers.paper, {"key": "certificate"}, name="certificate_pdf"),
    path("register/<slug:number>/report.pdf", papers.paper, {"key": "report"}, name="report_pdf"),
    path("register/<slug:number>/evidence.zip", papers.evidence_pack, name="evidence_pack"),
    path("register/<slug:number>/correct/", later.correct, name="correct"),
    path("register/<slug:number>/supersede/", later.supersede, name="supersede"),
    path("register/<slug:number>/withdraw/", later.withdraw, name="withdraw"),
    path("register/<slug:number>/transfer/", later.transfer, name="transfer"),
    path("register/<slug:number>/finding/", audits.finding, name="finding"),
    path("audits/", audits.overview, name="audits"),
    path("audits/draw/", audits.draw, name="draw"),
    path("audits/findings/<int:position>/", audits.follow_up, name="follow_up"),
    path("audits/<slug:number>/", audits.audit, name="audit"),
    path("audits/<slug:number>/evidence.zip", audits.audit_pack, name="audit_pack"),
]
