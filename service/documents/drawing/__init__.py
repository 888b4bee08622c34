"""The one drawing engine: shapes on a sheet, written as SVG, DXF or PDF."""
