from django.urls import path

from testing.testday.views import days, runs, sheet, sign, work_up

urlpatterns = [
    path("jobs/<slug:number>/work-up/", work_up.work_up, name="work_up"),
    path("jobs/<slug:number>/test-day/open/", sheet.open_test_day, name="open_test_day"),
    path("jobs/<slug:number>/driving-report/", sign.driving_report, name="driving_report"),
    path("day-sheets/", days.my_days, name="my_days"),
    path("day-sheets/<int:pk>/", sheet.day_sheet, name="day_sheet"),
    path("day-sheets/<int:pk>/checks/", runs.confirm_checks, name="confirm_checks"),
    path("day-sheets/<int:pk>/runs/add/", runs.add_run, name="add_run"),
    path("day-sheets/<int:pk>/runs/<int:number>/strike/", runs.strike, name="strike_run"),
    path("day-sheets/<int:pk>/go-on/<slug:mass>/", runs.go_on, name="go_on"),
    path("day-sheets/<int:pk>/statement/", sign.statement, name="sign_statement"),
]
