"""What to mind where work on a spring is proposed; local rules and licensed practice come first."""

LOADED_SPRING = (
    "a loaded spring leaves at eye height: wear eye protection, hold it with a tool, cover it while it is freed"
)
HOT_WIRE = "heating wire burns and gives fumes: tongs, a clear bench, air; local rules and licensed practice come first"
CUT_WIRE = "a cut end of hard wire flies: hold both ends, wear eye protection"
