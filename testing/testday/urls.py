from django.urls import path

from testing.testday.views import (
    checks,
    days,
    deciding,
    further,
    loading,
    logs,
    offline,
    runs,
    sheet,
    sign,
    stops,
    work_up,
)

_DAY = "day-sheets/<int:pk>"
_RUN = f"{_DAY}/runs/<int:number>"

urlpatterns = [
    path("jobs/<slug:number>/work-up/", work_up.work_up, name="work_up"),
    path("jobs/<slug:number>/test-day/open/", sheet.open_test_day, name="open_test_day"),
    path("jobs/<slug:number>/driving-report/", sign.driving_report, name="driving_report"),
    path("jobs/<slug:number>/measured/<slug:kind>/", further.measurement, name="measurement"),
    path("jobs/<slug:number>/retest/", further.decide_retest, name="decide_retest"),
    path("jobs/<slug:number>/must-change/", further.tell_must_change, name="tell_must_change"),
    path("day-sheets/", days.my_days, name="my_days"),
    path(f"{_DAY}/", sheet.day_sheet, name="day_sheet"),
    path(f"{_DAY}/checks/", checks.confirm_checks, name="confirm_checks"),
    path(f"{_DAY}/checks/<slug:key>/exception/", checks.accept_exception, name="accept_exception"),
    path(f"{_DAY}/checks/<slug:key>/take-back/", checks.take_back, name="take_back_check"),
    path(f"{_DAY}/load/<slug:mass>/", loading.load, name="load"),
    path(f"{_DAY}/runs/add/", runs.add_run, name="add_run"),
    path(f"{_RUN}/undo/", runs.undo, name="undo_run"),
    path(f"{_RUN}/correct/", deciding.correct, name="correct_run"),
    path(f"{_RUN}/strike/", deciding.strike, name="strike_run"),
    path(f"{_RUN}/photos/", runs.add_photo, name="add_run_photo"),
    path(f"{_DAY}/photos/<int:number>/", runs.photo, name="run_photo"),
    path(f"{_DAY}/stop/", stops.stop, name="stop"),
    path(f"{_DAY}/roll-limit/", stops.roll_limit, name="roll_limit"),
    path(f"{_DAY}/go-on/<slug:mass>/", deciding.go_on, name="go_on"),
    path(f"{_DAY}/settle/<slug:about>/<int:key>/", stops.settle, name="settle"),
    path(f"{_DAY}/statement/", sign.statement, name="sign_statement"),
    path(f"{_DAY}/countersign/", sign.countersign_statement, name="countersign"),
    path(f"{_DAY}/logs/", logs.upload, name="logs"),
    path(f"{_DAY}/logs/columns/", logs.columns, name="log_columns"),
    path(f"{_DAY}/logs/passes/", logs.passes, name="log_passes"),
    path(f"{_DAY}/logs/passes/<int:number>/", logs.passed, name="logged_pass"),
    path(f"{_DAY}/sync/", offline.sync, name="sync"),
    path("day-sheet-worker.js", offline.worker, name="day_sheet_worker"),
]
