from django.contrib.auth.decorators import login_not_required
from django.urls import path

from buffycoat.benches import views

urlpatterns = [
    path("bench/", views.bench, name="bench"),
    path("bench/new/", views.new_bench, name="bench-new"),
    path("bench/key/", views.new_key, name="bench-key"),
    path("bench/<int:number>/here/", views.use_here, name="bench-here"),
    path("bench/test-card.pdf", views.test_card_pdf, name="bench-test-card"),
    path("bench/heard/", views.heard, name="bench-heard"),
    path("bench/scale/", views.scale, name="bench-scale"),
    path("bench/lay/", views.lay, name="bench-lay"),
    path("bench/reading/", login_not_required(views.reading), name="bench-reading"),
    path("bench/size-<int:px_per_100_mm>.css", login_not_required(views.size_sheet), name="bench-size"),
]
