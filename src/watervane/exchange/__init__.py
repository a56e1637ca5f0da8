"""Tank files, keepers' logs and forecast documents in and out."""

from watervane.exchange.description_words import describe_tank
from watervane.exchange.doubts import entry_doubts, tank_doubts
from watervane.exchange.entry_words import kind_word, read_entry_words
from watervane.exchange.file_sorts import read_table, sort_of_file
from watervane.exchange.forecast_json import dumps, forecast_document
from watervane.exchange.forecast_reader import read_forecast_document
from watervane.exchange.homecoming_json import homecoming_document
from watervane.exchange.journal_json import journal_schema, journal_text, read_journal_file
from watervane.exchange.keeper_log import read_keeper_log
from watervane.exchange.limits_json import limit_list_document
from watervane.exchange.own_table import own_table_text
from watervane.exchange.problems import TankFileErrors
from watervane.exchange.quick_tank import quick_tank
from watervane.exchange.rehearsals_json import rehearsals_document
from watervane.exchange.schema import tank_file_schema
from watervane.exchange.scores_json import scores_document
from watervane.exchange.source_text import looks_like_log, read_text
from watervane.exchange.tank_reader import (
    parse_tank_text,
    read_tank_file,
    read_tank_file_with_remarks,
)
from watervane.exchange.tank_writer import write_tank_file
from watervane.exchange.today_json import today_document
from watervane.exchange.vocabulary import FORMAT
from watervane.exchange.ways_json import ways_document
from watervane.exchange.whole_files import write_whole

__all__ = [
    "FORMAT",
    "TankFileErrors",
    "describe_tank",
    "dumps",
    "entry_doubts",
    "forecast_document",
    "homecoming_document",
    "journal_schema",
    "journal_text",
    "kind_word",
    "limit_list_document",
    "looks_like_log",
    "own_table_text",
    "parse_tank_text",
    "quick_tank",
    "read_entry_words",
    "read_forecast_document",
    "read_journal_file",
    "read_keeper_log",
    "read_table",
    "read_tank_file",
    "read_tank_file_with_remarks",
    "read_text",
    "rehearsals_document",
    "scores_document",
    "sort_of_file",
    "tank_doubts",
    "tank_file_schema",
    "today_document",
    "ways_document",
    "write_tank_file",
    "write_whole",
]
