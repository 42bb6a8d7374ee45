"""Every address of the app, by area."""

from django.urls import path

from floorward.web.views import lifters, start

urlpatterns = [
    # the first page, signing in
    path("", start.start, name="start"),
    path("start/demo", start.start_demo, name="start-demo"),
    path("start/own", start.start_own, name="start-own"),
    path("start/leave-demo", start.leave_demo, name="leave-demo"),
    path("sign-in", start.sign_in, name="sign-in"),
    path("sign-out", start.sign_out, name="sign-out"),
    # lifters
    path("lifters", lifters.lifter_list, name="lifters"),
    path("lifters/new", lifters.new_lifter, name="new-lifter"),
    path("lifters/<int:lifter_id>", lifters.overview, name="lifter"),
    path("lifters/<int:lifter_id>/change", lifters.change_lifter, name="change-lifter"),
    path("lifters/<int:lifter_id>/consent", lifters.consent, name="consent"),
    path("lifters/<int:lifter_id>/withdraw", lifters.withdraw, name="withdraw-consent"),
    path("lifters/<int:lifter_id>/best", lifters.best_set, name="best-set"),
    path("lifters/<int:lifter_id>/best/<int:best_id>/remove", lifters.remove_best_set, name="remove-best-set"),
    # today
    path("today", lifters.lifter_list, name="today"),
    # gym
    path("gym", start.start, name="gym"),
    # help
    path("help", start.start, name="help"),
]
