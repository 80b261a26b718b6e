"""The report: one self-contained HTML or PDF file of one visit or two, and the CSV export of their figures.

The customer's page comes first, in plain words; the engineer's pages follow. Text from files is
escaped; the same inputs give the same bytes, but for the time stamp.
"""

from airside.show.report.figures_csv import csv_text
from airside.show.report.pdf import check_pdf
from airside.show.report.render import report_bytes, report_html
from airside.show.report.repeat import refuse_one_file

__all__ = ["check_pdf", "csv_text", "refuse_one_file", "report_bytes", "report_html"]
