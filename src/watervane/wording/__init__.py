"""Result records in, sentences out."""

from watervane.wording.scores import score_sentences, score_tables
from watervane.wording.shown import Shown, shown_series
from watervane.wording.summary import cautions, headline, summary
from watervane.wording.tables import NumberTable, number_table
from watervane.wording.templates import finding_line, finding_text, phrase

__all__ = [
    "NumberTable",
    "Shown",
    "cautions",
    "finding_line",
    "finding_text",
    "headline",
    "number_table",
    "phrase",
    "score_sentences",
    "score_tables",
    "shown_series",
    "summary",
]
