"""opsreport: orders, packing lists and reports of a nutrition-education programme, from one workbook."""

__version__ = "0.1.0"
