"""Who works in the banks of the tests. Invented."""

PEOPLE = ("robin", "kim")
PASSWORD = "a-password-only-for-tests"
