from django.urls import path

from buffycoat.trace import book_views, correction_views, views
from buffycoat.trace.interrupted import you_were_here

urlpatterns = [
    path("", views.today, name="today"),
    path("scan/", views.scan, name="scan"),
    path("donations/<code:donation>/", views.donation, name="donation"),
    path("donations/<code:donation>/next/", views.to_next_step, name="next-step"),
    path("journal/", book_views.journal, name="journal"),
    path("journal/check/", book_views.check, name="journal-check"),
    path("journal/<int:number>/strike/", correction_views.strike_entry, name="journal-strike"),
    path("undo/<code:code>/", correction_views.undo, name="undo"),
    path("void/<code:code>/", correction_views.void, name="void"),
    path("story/<code:code>/", correction_views.whole_story, name="story"),
    path("you-were-here/", you_were_here, name="you-were-here"),
    path("help/", views.help_page, name="help"),
    path("units/<code:unit>/", views.unit, name="unit"),
]
