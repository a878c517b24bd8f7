"""An owner's contact can be erased, and the journal neither has it nor misses it."""

from buffycoat.journal.models import Entry
from buffycoat.journal.verify import verify
from buffycoat.people.models import OwnerContact
from buffycoat.people.roles import add
from tests.pages import client, text, walk

__all__ = ["client", "walk"]


def test_erasing_an_owners_contact_leaves_the_journal_whole_and_nothing_of_it_behind(client, walk):
    donor = walk.a_donor("dog")
    client.post(
        f"/donors/{donor}/owner/", {"name": "Ida Invented", "phone": "0999", "email": "ida@example.org"}
    )
    assert "Ida Invented" in text(client.get(f"/donors/{donor}/"))
    head = verify().head_hash
    client.post(f"/donors/{donor}/owner/", {"erase": "yes"})
    assert not OwnerContact.objects.exists()
    assert (None, head) == (verify().wrong, verify().head_hash)
    assert not Entry.objects.filter(line__contains="Invented").filter(line__contains="Ida").exists()


def test_who_need_not_know_the_owner_does_not_see_them(client, walk):
    donor = walk.a_donor("dog")
    OwnerContact.objects.create(donor=donor, name="Ida Invented")
    client.force_login(add("an-auditor", None, ["auditor"]))
    page = client.get(f"/donors/{donor}/")
    assert 200 == page.status_code
    assert "Ida Invented" not in page.content.decode()
