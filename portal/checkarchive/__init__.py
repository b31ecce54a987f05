"""What is wrong with a Darwin Core archive, ours or another's; shares no code with the writer.

An archive (event core or occurrence core, zipped) is read in one pass over each file. Every rule
is one small function in `rules`; its docstring says how to mend what it finds. Rows are not
held: ids wait in a temporary SQLite file (some 300 bytes a row) until all of them are known.

Not judged: whether rings of a footprint cross themselves, footprints other than a POLYGON,
week and ordinal dates, names against any checklist, and the EML schema beyond the elements that
aggregators ask for.
"""
