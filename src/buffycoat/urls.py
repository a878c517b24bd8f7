"""Every address of the program, chapter by chapter."""

from django.urls import include, path

urlpatterns = [
    path("", include("buffycoat.shell.urls")),
    path("", include("buffycoat.people.urls")),
    path("", include("buffycoat.site.urls")),
    path("", include("buffycoat.benches.urls")),
    path("", include("buffycoat.printing.urls")),
    path("", include("buffycoat.equipment.urls")),
    path("", include("buffycoat.donors.urls")),
    path("", include("buffycoat.draws.urls")),
    path("", include("buffycoat.spins.urls")),
    path("", include("buffycoat.separation.urls")),
    path("", include("buffycoat.labels.urls")),
    path("", include("buffycoat.problems.urls")),
    path("", include("buffycoat.storage.urls")),
    path("", include("buffycoat.changes.urls")),
    path("", include("buffycoat.temperatures.urls")),
    path("", include("buffycoat.matching.urls")),
    path("", include("buffycoat.patients.urls")),
    path("", include("buffycoat.issuing.urls")),
    path("", include("buffycoat.reactions.urls")),
    path("", include("buffycoat.training.urls")),
    path("", include("buffycoat.lists.urls")),
    path("", include("buffycoat.trace.urls")),
    path("", include("buffycoat.outage.urls")),
    path("", include("buffycoat.keeping.urls")),
    path("", include("buffycoat.calculator.urls")),
]

handler500 = "buffycoat.keeping.trouble.server_error"
