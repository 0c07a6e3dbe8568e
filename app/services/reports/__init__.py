"""Every figure of a farm's board as plain values: unit, as-of, range and source, for the command line and the API."""

from app.services.reports.farm import figures_of, report_farm
from app.services.reports.figure import NOT_PUBLISHED, Figure
from app.services.reports.written import report_lines

__all__ = ["NOT_PUBLISHED", "Figure", "figures_of", "report_farm", "report_lines"]
