"""What the tests of fleets share: truth and results read back."""

from __future__ import annotations

import csv
from pathlib import Path

import pyarrow.parquet as pq


def table_of(path):
    """Rows of a CSV file as dictionaries; lines that begin with # are left out."""
    lines = [t for t in Path(path).read_text(encoding="utf-8").splitlines() if not t.startswith("#")]
    return list(csv.DictReader(lines))


def summaries(run):
    return {d["system"]: d for d in table_of(run.summary)}


def rows_of(run):
    return pq.read_table(run.out).to_pandas()


def both_bytes(run):
    return run.out.read_bytes(), run.summary.read_bytes()
