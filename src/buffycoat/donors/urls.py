from django.urls import path

from buffycoat.donors import desk_views, photo_views, results_views, steps, views

urlpatterns = [
    path("donors/", views.donors, name="donors"),
    path("donors/new/", views.new_donor, name="donor-new"),
    path("donors/cards.pdf", views.cards, name="donor-cards"),
    path("donors/calendar/", desk_views.calendar, name="donor-calendar"),
    path("donors/calls/", desk_views.calls, name="donor-calls"),
    path("donors/panel/", desk_views.panel_page, name="donor-panel"),
    path("donors/results/", results_views.results, name="donor-results"),
    path("donors/visits/<int:person>/<slug:key>.ics", desk_views.visits, name="donor-visits"),
    path("donors/<code:donor>/", views.donor, name="donor"),
    path("donors/<code:donor>/examine/", views.examine, name="donor-examine"),
    path("donors/<code:donor>/type/", views.type_blood, name="donor-type"),
    path("donors/<code:donor>/owner/", views.owner, name="donor-owner"),
    path("donors/<code:donor>/photo/", photo_views.photo, name="donor-photo"),
    path("donors/<code:donor>/photo.jpg", photo_views.photo_file, name="donor-photo-file"),
    path("donors/<code:donor>/card.pdf", views.card, name="donor-card"),
    path("donors/<code:donor>/thanks.pdf", desk_views.thanks, name="donor-thanks"),
    *(
        path(f"donors/<code:donor>/{each.key}/", steps.step, {"key": each.key}, name=f"donor-{each.key}")
        for each in steps.STEPS
    ),
]
