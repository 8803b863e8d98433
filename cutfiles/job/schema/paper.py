"""The keys of `[output]` that say what a PDF is printed on."""

from __future__ import annotations

from cutfiles.formats.model.style import Paper
from cutfiles.job.schema.field import Field, Kind

PAPER_FIELDS = (
    Field(
        "paper",
        Kind.CHOICE,
        "what a PDF is printed on; left out, Letter where the job's unit is in, else A4; see "
        "[Printing](printing.md)",
        choices=tuple(paper.value for paper in Paper),
    ),
    Field("roll_width", Kind.LENGTH, "width of the roll where `paper` is roll; 200 mm to 2 m", least=1),
    Field(
        "paper_margin", Kind.LENGTH, "what the printer can't reach, all round; 3 mm to 1 in", "10 mm", least=1
    ),
    Field(
        "paper_overlap", Kind.LENGTH, "what neighbouring pages have in common; 5 to 50 mm", "10 mm", least=1
    ),
)
