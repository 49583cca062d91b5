"""The build pack: what somebody else needs on paper to build and use this heater.

In: a design and the day. Out: one PDF in true millimetres with CSV, SVG and DXF
files beside it.

`drawing` and `templates` hold the pieces, `paper` and `tilepage` put them on pages,
`facts`, `tables`, `stock` and `words` turn the evaluation into text, `sheets`, `cards`,
`assembly` and `all_numbers` are the pages, `files` writes them whole, `build` puts it all in
order.
"""

from solarlib.pack.build import main, write_pack

__all__ = ["main", "write_pack"]
