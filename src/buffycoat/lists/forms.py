"""What is asked about a list: the file, its columns, and the word to bring it in."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from buffycoat.lists.columns import KINDS, Kind, guess
from buffycoat.lists.rows import Choices
from buffycoat.lists.sheet import MOST_BYTES, MOST_ROWS, Sheet, Unreadable, read_sheet
from buffycoat.lists.values import DAY_FIRST, MONTH_FIRST
from buffycoat.shell.forms import ChoiceField, ListField

NOT_THERE = "not in the list"


class ListFileField(forms.FileField):
    template_name = "shell/_field.html"


class FileForm(forms.Form):
    kind = ChoiceField(
        label="What is in it?",
        choices=[(kind.key, kind.title) for kind in KINDS.values()],
        notes={kind.key: kind.note for kind in KINDS.values()},
    )
    file = ListFileField(
        label="The list",
        help_text=f"CSV or .xlsx, at most {MOST_BYTES / 1e6:g} MB and {MOST_ROWS} rows.",
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}),
        allow_empty_file=True,
        error_messages={"required": "No file was chosen. Choose the list."},
    )

    def clean_file(self) -> Any:
        sent = self.cleaned_data["file"]
        try:
            self.cleaned_data["sheet"] = read_sheet(sent.read(MOST_BYTES + 1))
        except Unreadable as trouble:
            raise ValidationError(str(trouble)) from None
        return sent


class ColumnsForm(forms.Form):
    """For each column of ours the heading that says it."""

    date_order = ListField(
        label="Days like 03/04/2026",
        required=False,
        choices=[
            ("", "there are none"),
            (DAY_FIRST, "the day comes first"),
            (MONTH_FIRST, "the month comes first"),
        ],
    )
    weight_unit = ListField(
        label="Weights without a unit",
        required=False,
        choices=[("", "there are none"), ("kg", "in kg"), ("lb", "in lb"), ("g", "in g")],
    )
    species = ListField(
        label="Where no species stands",
        required=False,
        choices=[("", "it is missing"), ("dog", "it is a dog"), ("cat", "it is a cat")],
    )

    def __init__(
        self,
        kind: Kind,
        sheet: Sheet,
        data: Mapping[str, Any] | None = None,
        *,
        choices: Choices | None = None,
    ) -> None:
        self.kind = kind
        chosen = choices or Choices(columns=guess(kind, sheet.headings))
        super().__init__(data, initial=chosen.as_text(), auto_id="id_%s")
        for key in ("date_order", "weight_unit", "species"):
            if key not in kind.asks:
                del self.fields[key]
        headings = [("", NOT_THERE), *((heading, heading) for heading in sheet.headings)]
        for column in kind.columns:
            field = ListField(
                label=column.title,
                hint=column.hint,
                required=column.needed,
                choices=headings,
                initial=chosen.columns.get(column.key, ""),
            )
            field.error_messages["required"] = (
                f"{column.title}: choose its column, for no row can do without it."
            )
            self.fields[f"column-{column.key}"] = field

    @property
    def columns(self) -> list[forms.BoundField]:
        return [self[f"column-{column.key}"] for column in self.kind.columns]

    @property
    def rest(self) -> list[forms.BoundField]:
        return [self[key] for key in self.kind.asks]

    def clean(self) -> None:
        said: dict[str, str] = {}
        for column in self.kind.columns:
            heading = self.cleaned_data.get(f"column-{column.key}", "")
            if heading in said:
                raise ValidationError(
                    f"“{heading}” is chosen for {said[heading]} and for {column.title}: choose one."
                )
            if heading:
                said[heading] = column.title

    def choices(self) -> Choices:
        given = self.cleaned_data
        return Choices(
            columns={key: given[f"column-{key}"] for key in self.kind.keys if given[f"column-{key}"]},
            date_order=given.get("date_order", ""),
            weight_unit=given.get("weight_unit", ""),
            species=given.get("species", ""),
        )


class BringForm(forms.Form):
    """`expected` tells what the person saw."""

    expected = forms.CharField(max_length=16, widget=forms.HiddenInput)
