from django.urls import path

from buffycoat.labels import views

urlpatterns = [
    path("labels/", views.labels, name="labels"),
    path("labels/<code:donation>/scan-back/", views.scan_back, name="label-scan-back"),
    path("labels/<code:donation>/<str:part>/", views.print_label, name="label-print"),
    path("labels/<code:donation>/<str:part>/label.pdf", views.label_pdf, name="label-pdf"),
    path("labels/<code:donation>/<str:part>/label.png", views.label_picture, name="label-picture"),
]
