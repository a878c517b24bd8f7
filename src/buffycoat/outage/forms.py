from buffycoat.draws.spares import MOST_SHEETS
from buffycoat.shell.forms import BenchForm, CodeField, MomentField, WholeField


class MoreSheetsForm(BenchForm):
    sheets = WholeField(label="Sheets", least=1, most=MOST_SHEETS, initial=4)


class CatchUpForm(BenchForm):
    sheet = CodeField(label="Number of the paper sheet", kinds="G", noun="paper sheet")
    happened_at = MomentField(
        label="Draw began at", hint="As it stands on the sheet, like 24 Oct 2026, 14:05."
    )
