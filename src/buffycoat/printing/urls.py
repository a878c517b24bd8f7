from django.urls import path

from buffycoat.printing import views

urlpatterns = [
    path("printing/", views.queue, name="printing"),
    path("printing/test-label/", views.test_label, name="printing-test"),
    path("printing/send/", views.send_batch, name="printing-send"),
    path("printing/<int:number>/again/", views.again, name="printing-again"),
    path("printing/<int:number>/cancel/", views.cancel, name="printing-cancel"),
]
