from django.urls import path

from buffycoat.patients import views

urlpatterns = [
    path("patients/", views.patients, name="patients"),
    path("patients/new/", views.new, name="patient-new"),
    path("patients/<code:patient>/", views.patient, name="patient"),
    path("patients/<code:patient>/type/", views.type_blood, name="patient-type"),
    path("patients/<code:patient>/weigh/", views.weigh, name="patient-weigh"),
    path("patients/<code:patient>/history/", views.history, name="patient-history"),
    path("patients/<code:patient>/antibody/", views.antibody, name="patient-antibody"),
    path("patients/<code:patient>/band.pdf", views.band, name="patient-band"),
]
