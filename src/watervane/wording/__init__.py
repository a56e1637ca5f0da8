"""Result records in, sentences out."""

from watervane.wording.change_order import order_sentences
from watervane.wording.homecoming import (
    gap_sentences,
    homecoming_sentences,
    homecoming_steps,
    homecoming_title,
)
from watervane.wording.journal import (
    entry_label,
    entry_line,
    kept_sentence,
    kept_together,
    kept_told,
    shown_sentence,
    tanks_table,
)
from watervane.wording.limit_list import limit_groups, limits_sentences, limits_title
from watervane.wording.rehearsals import (
    mishap_words,
    rehearsal_sentences,
    rehearsal_table,
    rehearsal_title,
)
from watervane.wording.scores import score_sentences, score_tables
from watervane.wording.shown import Shown, shown_series
from watervane.wording.summary import cautions, headline, summary
from watervane.wording.tables import NumberTable, number_table
from watervane.wording.templates import finding_line, finding_text, phrase
from watervane.wording.today import (
    act_sentence,
    hour_sentences,
    hour_texts,
    note_sentences,
    short_act,
    step_sentences,
    today_title,
    verdict_sentences,
)
from watervane.wording.ways import (
    start_remarks,
    start_sentences,
    start_steps,
    start_table,
    start_title,
)
from watervane.wording.ways_beside import ways_table

__all__ = [
    "NumberTable",
    "Shown",
    "act_sentence",
    "cautions",
    "entry_label",
    "entry_line",
    "finding_line",
    "finding_text",
    "gap_sentences",
    "headline",
    "homecoming_sentences",
    "homecoming_steps",
    "homecoming_title",
    "hour_sentences",
    "hour_texts",
    "kept_sentence",
    "kept_together",
    "kept_told",
    "limit_groups",
    "limits_sentences",
    "limits_title",
    "mishap_words",
    "note_sentences",
    "number_table",
    "order_sentences",
    "phrase",
    "rehearsal_sentences",
    "rehearsal_table",
    "rehearsal_title",
    "score_sentences",
    "score_tables",
    "short_act",
    "shown_sentence",
    "shown_series",
    "start_remarks",
    "start_sentences",
    "start_steps",
    "start_table",
    "start_title",
    "step_sentences",
    "summary",
    "tanks_table",
    "today_title",
    "verdict_sentences",
    "ways_table",
]
