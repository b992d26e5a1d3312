"""The workbook in which pages are typed: its template, its layout, and its way back in."""
