from django.urls import path

from certificates.views import issuing, papers, register

app_name = "certificates"
urlpatterns = [
    path("jobs/<slug:number>/certificate/preview/", issuing.preview, name="preview"),
    path("jobs/<slug:number>/certificate/draft.pdf", issuing.draft, name="draft"),
    path("jobs/<slug:number>/certificate/issue/", issuing.issue, name="issue"),
    path("register/", register.register, name="register"),
    path("register/<slug:number>/", register.certificate, name="certificate"),
    path("register/<slug:number>/certificate.pdf", papers.paper, {"key": "certificate"}, name="certificate_pdf"),
    path("register/<slug:number>/report.pdf", papers.paper, {"key": "report"}, name="report_pdf"),
]
