from jobs.steps import OwnerNews, Step

STEP = Step(
    key="scheduling",
    order=3,
    title="Schedule",
    owner_title="Schedule",
    who="Engineer",
    permission="testing.sign_triage",
    move_on_label="Go on",
    template="jobs/_booking_panel.html",
    blockers=lambda job: (),
    owner_news=lambda job: OwnerNews(next=""),
)
