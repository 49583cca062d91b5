"""Pictures of the course: each draws one result on axes it is given, and says it in words.

For every picture x there are frame_x(figure) -> axes, paint_x(axes, result) -> new artists,
describe_x(result) -> one paragraph and table_x(result) -> (label, value) rows. Nothing is
computed here that physics would have to answer for. One module per lesson.
"""
