"""The owner's packet: a snapshot in, one file out.

`shape` says what a snapshot is; `build.build_pdf` draws it; `pictures.folder` finds the
photographs. Below them: `flow` turns pages, `table` and `labelled` set what stands on
them, `faces` and `draw` know letters and stamps, `writer` is the pen.
"""
