from django.urls import path

from buffycoat.issuing import views

urlpatterns = [
    path("requests/", views.requests, name="requests"),
    path("patients/<code:patient>/request/", views.new, name="request-new"),
    path("requests/<code:number>/", views.one, name="request"),
    path("requests/<code:number>/close/", views.close, name="request-close"),
    path("requests/<code:number>/crossmatch/", views.crossmatch, name="request-crossmatch"),
    path("requests/<code:number>/issue/", views.issue, name="request-issue"),
    path("units/<code:unit>/issued/", views.issued, name="unit-issued"),
    path("units/<code:unit>/slip.pdf", views.slip, name="unit-slip"),
    path("units/<code:unit>/return/", views.give_back, name="unit-return"),
]
