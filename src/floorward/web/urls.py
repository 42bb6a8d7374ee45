"""Every address of the app, by area."""

from django.urls import path

from floorward.web.views import gym, lifters, links, shelf, start

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
    path(
        "lifters/<int:lifter_id>/best/<int:best_id>/remove", lifters.remove_best_set, name="remove-best-set"
    ),
    # personal links and morning checks
    path("l/<str:token>/", links.door, name="personal-link"),
    path("lifters/<int:lifter_id>/links/new", links.new_link, name="new-link"),
    path("lifters/<int:lifter_id>/links/revoke", links.revoke_links, name="revoke-links"),
    path("lifters/<int:lifter_id>/morning", links.morning, name="morning"),
    # today
    path("today", lifters.lifter_list, name="today"),
    # gym
    path("gym", gym.gym, name="gym"),
    path("gym/equipment/<slug:kind>/add", gym.piece, name="add-piece"),
    path("gym/equipment/<slug:kind>/<int:row_id>", gym.piece, name="change-piece"),
    path("gym/equipment/<slug:kind>/<int:row_id>/remove", gym.remove_piece, name="remove-piece"),
    path("gym/protocol", gym.protocol, name="protocol"),
    path("gym/people", gym.people, name="people"),
    path("gym/people/new", gym.new_person, name="new-person"),
    path("gym/people/<int:staff_id>/switch", gym.switch_person, name="switch-person"),
    # help
    path("help", shelf.shelf, name="help"),
    path("help/<path:name>", shelf.help_page, name="help-page"),
]
