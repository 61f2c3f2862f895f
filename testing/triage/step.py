from jobs.steps import OwnerNews, Step

STEP = Step(
    key="triage",
    order=2,
    title="Triage",
    owner_title="Triage",
    who="Engineer",
    permission="testing.sign_triage",
    move_on_label="Go on",
    template="jobs/_booking_panel.html",
    blockers=lambda job: (),
    owner_news=lambda job: OwnerNews(next=""),
)
