"""Single-record tests of the TDWG data quality standard (draft) on Darwin Core terms."""
