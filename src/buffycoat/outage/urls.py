from django.urls import path

from buffycoat.outage import views

urlpatterns = [
    path("paper-sheets/", views.paper_sheets, name="paper-sheets"),
    path("paper-sheets/blank.pdf", views.sheets_pdf, name="blank-sheets"),
    path("morning-pack.pdf", views.pack_pdf, name="morning-pack"),
    path("catch-up/", views.catch_up, name="catch-up"),
]
