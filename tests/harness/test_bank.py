"""A bank for one test: the real server, the real command line, the same book."""


def test_a_person_signs_in_and_the_command_line_reads_the_same_book(bank, browser_page):
    bank.sign_in(browser_page)
    assert bank.base_url in browser_page.url
    assert "The journal is whole" in bank.cli("verify")


def test_each_bank_is_its_own(quiet_bank, stable, empty_template):
    quiet_bank.cli("add-person", "sam", typed="another-password\n")
    other = stable.copy(empty_template)
    assert "may sign in already" in quiet_bank.cli("add-person", "sam", typed="another-password\n", expect=1)
    assert "" == other.cli("add-person", "sam", typed="another-password\n")
    stable.clear(other)
    assert not other.data.exists()
